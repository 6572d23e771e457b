" Indents a block's rows, and what goes on after a comma. Nothing in the language depends on it.
if exists("b:did_indent")
  finish
endif
let b:did_indent = 1

setlocal indentexpr=FantailIndent(v:lnum) indentkeys=o,O,0}
let b:undo_indent = "setlocal indentexpr< indentkeys<"

if exists("*FantailIndent")
  finish
endif

" A line without its comment, and without what its texts say.
function! s:bare(lnum) abort
  return substitute(substitute(getline(a:lnum), '"[^"]*"\?', 'x', 'g'), '\s*\(#.*\)\?$', '', '')
endfunction

" The line before that says something: no blank one, no comment.
function! s:before(lnum) abort
  let at = prevnonblank(a:lnum - 1)
  while at > 0 && getline(at) =~ '^\s*#'
    let at = prevnonblank(at - 1)
  endwhile
  return at
endfunction

function! FantailIndent(lnum) abort
  let before = s:before(a:lnum)
  " A comment stands where its writer put it: column heads do.
  if before == 0 || getline(a:lnum) =~ '^\s*#'
    return -1
  endif
  let goes_on = s:bare(before) =~ ',$'
  let opens = s:bare(before) =~ '{[^}]*$'
  " The first line of the row before.
  while s:before(before) > 0 && s:bare(s:before(before)) =~ ',$'
    let before = s:before(before)
  endwhile
  let steps = (opens || goes_on) - (getline(a:lnum) =~ '^\s*}')
  return max([indent(before) + steps * shiftwidth(), 0])
endfunction
