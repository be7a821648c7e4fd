#!/bin/sh
# Runs the side-by-side bench of the reducer in the folder $1, with the flags that
# follow, and appends what it sums up as one line to reduce.tsv. Errors are over those
# of the best peer, CPU over meshoptimizer's; worst is over the cases.
set -eu
bench=$1
shift
here=$(dirname "$0")
version=$(sed -n 's/^const Version = "\(.*\)"$/\1/p' "$here"/../../convert/reduce/*.go)
commit=$(git -C "$here" describe --always --dirty)
run=$(printf '%s' "$*" | sed 's/--\(bin\|dir\|work\) *[^ ]*//g; s/  */ /g; s/^ //; s/ $//') # without the machine's folders
log=$(mktemp)
trap 'rm -f "$log"' EXIT
"$bench/compare.py" --ours "$PWD/planfold reduce {in} -o {out} --triangles {n} --keep-frame --format json --repeat 5" "$@" | tee "$log"
n='\([0-9.a-z]*\)'
line=$(sed -n "s|^ours / best peer: rms geomean $n worst $n; max geomean $n worst $n; ours / meshopt cpu geomean $n worst $n; cases $n; missed $n\$|\1\t\2\t\3\t\4\t\5\t\6\t\8\t\7|p" "$log")
test -n "$line" || { echo "the bench has summed up nothing" >&2; exit 1; }
printf '%s\t%s\t%s\t%s\n' "$version" "$commit" "$line" "${run:-all}" >> "$here/reduce.tsv"
tail -n 1 "$here/reduce.tsv"
