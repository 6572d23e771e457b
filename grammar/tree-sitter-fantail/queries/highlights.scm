; What a word is called follows from where it stands, so no list of words stands here: see `grammar.js`.

(comment) @comment
(text) @string
(number) @number
(range) @number
(quantity) @number
(date) @number
(time) @number

(_ word: _ @keyword)
(_ attribute: _ @attribute)
(volts) @attribute
(_ joint: _ @keyword.operator)
(_ value: _ @constant.builtin)
(place) @constant.builtin
(use) @constant.builtin

; What a row or a statement declares.
(_ name: (name) @function)
(size bank: (name) @function)
; What it is.
(_ model: (name) @type)
(_ mic: (name) @type)
(_ signal: (name) @type)
(_ carrier: (name) @type)
(_ mode: (name) @type)
; What is declared elsewhere.
(dotted (name) @variable)
(_ ref: (name) @variable)
(output_row bank: (name) @variable)
(mode bank: (name) @variable)
(allow rule: (name) @label)

"," @punctuation.delimiter
"." @punctuation.delimiter
";" @punctuation.delimiter
"+" @operator
"{" @punctuation.bracket
"}" @punctuation.bracket

; A comma after which nothing comes.
(unfinished) @error
(ERROR) @error
