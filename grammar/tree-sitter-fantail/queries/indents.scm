[
  (act)
  (carrier)
  (inputs)
  (kind)
  (mic)
  (model)
  (outputs)
  (personal)
] @indent.begin

"}" @indent.branch @indent.end
