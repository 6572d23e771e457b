"""The setup page's lines for editors that no session runs: they can be read, and what they name is there."""

import json
import sys
import tomllib
from pathlib import Path

top, languages, settings = map(Path, sys.argv[1:])
page = tomllib.loads(languages.read_text())
(language,), (grammar,) = page["language"], page["grammar"]
assert all(name in page["language-server"] for name in language["language-servers"])
assert language["name"] == grammar["name"] == "fantail"
folder = Path(grammar["source"]["path"])
assert (folder / "src/parser.c").exists() and (folder / "queries/highlights.scm").exists(), folder

manifest = json.loads((top / "grammar/vscode/package.json").read_text())
known = manifest["contributes"]["configuration"]["properties"]
unknown = [name for name in json.loads(settings.read_text()) if name not in known]
assert not unknown, unknown
print("setup page: what it names is there")
