;;; Emacs' own client, started by the lines of the setup page. It edits the rig as a user would and saves it.  -*- lexical-binding: t -*-

(require 'cl-lib)
(require 'flymake)
(require 'xref)

(defun wait (what test)
  "The first answer of TEST that is not nil."
  (let ((until (+ (float-time) 20)) found)
    (while (not (setq found (funcall test)))
      (when (> (float-time) until) (error "Waited in vain for %s" what))
      (accept-process-output nil 0.02))
    found))

(defun message-with (part)
  (flymake-start)
  (cl-find-if (lambda (one) (string-match-p (regexp-quote part) (flymake-diagnostic-text one)))
              (flymake-diagnostics)))

(defun go (pattern)
  (goto-char (point-min))
  (let ((case-fold-search nil)) (re-search-forward pattern))
  (goto-char (match-beginning 0)))

(defun tell () (eglot--signal-textDocument/didChange))

(defun mend ()
  (let ((wrong (wait "the message" (lambda () (message-with "pencill")))))
    (wait "a note, which the page's settings ask for"
          (lambda ()
            (flymake-start)
            (cl-find 'eglot-note (flymake-diagnostics) :key #'flymake-diagnostic-type)))
    (goto-char (flymake-diagnostic-beg wrong)))
  (cl-letf (((symbol-function 'completing-read) (lambda (&rest _) "write `pencil`"))
            ;; Chosen by a key, not in a menu.
            (last-nonmenu-event ?a))
    (call-interactively #'eglot-code-actions))
  (when (save-excursion (goto-char (point-min)) (search-forward "pencill" nil t)) (error "Not mended"))
  (tell)
  (wait "the message to go" (lambda () (not (message-with "pencill")))))

(defun hover ()
  (let (said)
    (go "\\_<lead-vocal\\_>")
    (eglot-hover-eldoc-function (lambda (text &rest _) (setq said (substring-no-properties (or text "nothing")))))
    (wait "a hover" (lambda () said))
    (unless (and (string-match-p "stage-right" said) (string-match-p "channel 25" said)) (error "No path in: %s" said))))

(defun complete ()
  (go "^ *36  foh-talk")
  (forward-line 1)
  (insert "     37  guest  dynamic  from foh.local \n")
  (backward-char)
  (tell)
  (pcase-let* ((`(,from ,to ,table . ,_) (eglot-completion-at-point))
               (written (buffer-substring from to))
               (sort (completion-metadata-get (completion-metadata written table nil) 'display-sort-function))
               (all (funcall (or sort #'identity) (all-completions written table))))
    (unless (equal (substring-no-properties (car all)) "3") (error "Not the free socket: %S" all)))
  (delete-region (line-beginning-position) (1+ (line-end-position)))
  (tell))

(defun lay-out ()
  (let ((laid-out (buffer-string)))
    (setq laid-out (with-temp-buffer
                     (insert laid-out)
                     (call-process-region (point-min) (point-max) "fantail" t '(t nil) nil "tidy" "-")
                     (buffer-string)))
    (eglot-format-buffer)
    (unless (equal (buffer-string) laid-out) (error "Not as `fantail tidy' lays it out"))))

(defun session ()
  (setq inhibit-message t make-backup-files nil create-lockfiles nil auto-save-default nil)
  (find-file "rig.fantail")
  ;; The loop that reads keys, which a batch has not, starts the client so.
  (run-hooks 'post-command-hook)
  (wait "the client" #'eglot-current-server)
  (unless (eq major-mode 'fantail-mode) (error "The page's lines set no mode"))
  (mend)
  (hover)
  (complete)
  ;; In this file and in a venue that is not open.
  (go "\\_<drum-pad\\_>")
  ;; The venue is opened for it, which the client asks about.
  (cl-letf (((symbol-function 'y-or-n-p) #'always)) (eglot-rename "pads"))
  (tell)
  (lay-out)
  (save-some-buffers t)
  (eglot-shutdown (eglot-current-server)))

(condition-case problem (session)
  (error
   (princ (format "%s\n" (error-message-string problem)) #'external-debugging-output)
   (when (ignore-errors (eglot-current-server))
     (with-current-buffer (jsonrpc-events-buffer (eglot-current-server))
       (write-region nil nil (getenv "LOG") nil 'quiet)))
   (kill-emacs 1)))
