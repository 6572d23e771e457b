; Names of a file. An act has names of its own, and sees those of the house.

(file) @local.scope
(act) @local.scope

(device name: (name) @local.definition)
(outside name: (name) @local.definition)
(input_row name: (name) @local.definition)
(group name: (name) @local.definition)
(mic name: (name) @local.definition)
(kind name: (name) @local.definition)
(carrier name: (name) @local.definition)
(model name: (name) @local.definition)

(dotted . (name) @local.reference)
(_ ref: (name) @local.reference)
(_ model: (name) @local.reference)
(input_row mic: (name) @local.reference)
