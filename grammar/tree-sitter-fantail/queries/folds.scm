[
  (act)
  (carrier)
  (inputs)
  (kind)
  (mic)
  (model)
  (outputs)
  (personal)
] @fold
