#!/bin/sh
# Checks every show as it is staged, not as it lies in the work tree. `fantail git hook` prints it.
git diff --cached --quiet -- '*.fantail' && exit 0
[ -n "$(git ls-files -- '*.fantail')" ] || exit 0
staged=$(mktemp -d) || exit 1
trap 'rm -rf "$staged"' EXIT
git ls-files -z -- '*.fantail' | git checkout-index -z --stdin --prefix="$staged/" || exit 1
git ls-files -z -- '*.fantail' | (cd "$staged" && xargs -0 PROGRAM check)
