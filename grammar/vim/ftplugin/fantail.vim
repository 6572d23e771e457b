" How fantail is edited: comments, words with hyphens, two blanks a step.
if exists("b:did_ftplugin")
  finish
endif
let b:did_ftplugin = 1

setlocal comments=:# commentstring=#\ %s
setlocal iskeyword+=-
setlocal expandtab shiftwidth=2 softtabstop=2
" A comma at the end of a line goes on below; text is not broken by itself.
setlocal formatoptions-=t formatoptions+=croql
setlocal suffixesadd=.fantail include=^\\s*include\\s

let b:undo_ftplugin = "setlocal comments< commentstring< iskeyword< expandtab< shiftwidth< softtabstop<"
      \ . " formatoptions< suffixesadd< include<"
