#!/usr/bin/env bash
# `make mutation`: changes the rules one thing at a time and asks whether a test notices. Not part of `make test`.
# Works on a copy in var/mutation; a second run looks only at what has changed. Names go to mutmut: .ci/trials/mutation.sh "quizzes.grading*"
set -euo pipefail
. "$(dirname "$0")/../lib.sh"
.ci/setup.sh test
root=$PWD LEAST=95
mkdir -p var/mutation
git ls-files -z --cached --others --exclude-standard | tar -c --null --files-from - | tar -x -C var/mutation
cd var/mutation
export SHOPSAFE_VAR=$root/var/test
mutmut() { nice -n 15 "$root/$BIN/python" -m mutmut "$@"; }

mutmut run --max-children 1 "$@" >run.log 2>&1 || { tail -30 run.log >&2; stop "the tests fail before anything is changed."; }
mutmut results
mutmut export-cicd-stats >/dev/null
"$root/$BIN/python" - $LEAST <<'END'
import json, sys
stats = json.load(open("mutants/mutmut-cicd-stats.json"))
noticed, all_of_them = stats["killed"] + stats["timeout"], stats["total"] - stats.get("skipped", 0)
print(f"{noticed} of {all_of_them} changes noticed: {noticed / all_of_them:.1%}. tests/mutation.md says what is left.")
sys.exit(noticed * 100 < int(sys.argv[1]) * all_of_them)
END
