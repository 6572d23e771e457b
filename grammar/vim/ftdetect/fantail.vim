" Files of fantail, by their ending.
autocmd BufNewFile,BufRead *.fantail setfiletype fantail
