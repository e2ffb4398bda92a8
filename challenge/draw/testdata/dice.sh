#!/bin/sh
# Does a draw by dice again from its record, as RECORD.md describes it, with a
# shell, sed, awk, base64, od and sha256sum.
#
#     sh dice.sh FILE      exit status 0 if all holds, 1 if not, 2 if it cannot tell
#
# It checks the list's root, the rolls against the result, and that the plan and
# every event stand in the ledger. It does not check the signature of the head.
set -eu
LC_ALL=C
export LC_ALL

[ $# -eq 1 ] || { echo "usage: sh dice.sh FILE" >&2; exit 2; }
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cat "$1" >"$work/record"
echo >>"$work/record" # sed wants the line ended; the record has one line

wrong() { echo "WRONG: $1"; exit 1; }
sha() { sha256sum | cut -c 1-64; }

# bytes HEX: the bytes themselves
bytes() {
	printf "$(printf '%s\n' "$1" | awk '{
		for (i = 1; i < length($0); i += 2)
			printf "\\%03o", 16 * (index("0123456789abcdef", substr($0, i, 1)) - 1) + index("0123456789abcdef", substr($0, i + 1, 1)) - 1
	}')"
}
node() { bytes "01$1$2" | sha; }            # two hashes in hex
leaf() { bytes "00$1" | sha; }              # data in hex
textleaf() { { printf '\000'; printf '%s' "$1"; } | sha; }

# member NAME NEXT: the text of a member that NEXT follows
member() { sed -n "s/.*[{,]\"$1\":\(.*\),\"$2\":.*/\1/p" "$work/record"; }

# The canonical form has no blanks and sorts the members, so each lies between
# two known words; quotation marks inside a text are escaped and do not disturb.
plan=$(member plan result)
events=$(sed -n 's/^{"events":\(\[.*\]\),"ledger":.*/\1/p' "$work/record")
roster=$(sed -n 's/.*,"roster":\(\[.*\]\),"steps":.*/\1/p' "$work/record")
result=$(sed -n 's/.*,"result":\[\([0-9,]*\)\],"roster":.*/\1/p' "$work/record")
ledger=$(sed -n 's/.*,"ledger":\({.*}\),"plan":.*/\1/p' "$work/record")
void=$(sed -n 's/.*,"version":1,"void":\(.*\)}$/\1/p' "$work/record")
draw=$(printf '%s\n' "$plan" | sed -n 's/.*,"draw":\("[^"]*"\),"f.*/\1/p')
places=$(printf '%s\n' "$plan" | sed -n 's/.*,"places":\([0-9]*\),.*/\1/p')
faces=$(printf '%s\n' "$plan" | sed -n 's/.*,"dice":{"faces":\[\([0-9,]*\)\].*/\1/p')
if [ -z "$faces" ] || [ -z "$draw" ] || [ -z "$places" ] || [ -z "$void" ]; then
	echo "This is not a record of a draw by dice that this script can read." >&2
	exit 2
fi

# ---- the list and its root

printf '%s\n' "$roster" | sed 's/^\[//; s/\]$//; s/},{/}\
{/g' | sed -n 's/^{"commitment":"\([0-9a-f]*\)","number":\([0-9]*\),"weight":\([0-9]*\)}$/\2 \3 \1/p' >"$work/tickets"
entries=$(awk 'END { print NR }' "$work/tickets")
tickets=$(awk '{ n += $2 } END { print n }' "$work/tickets")
while read -r line; do textleaf "$line"; done <"$work/tickets" >"$work/level"
while [ "$(awk 'END { print NR }' "$work/level")" -gt 1 ]; do
	while read -r left; do
		if read -r right; then node "$left" "$right"; else echo "$left"; fi
	done <"$work/level" >"$work/next"
	mv "$work/next" "$work/level"
done
root=$(cat "$work/level")
extent="\"roster\":{\"entries\":$entries,\"root\":\"$root\",\"tickets\":$tickets}"
case $plan in
*"$extent"*) echo "holds: the list has $entries entries and the root $root" ;;
*) wrong "the plan names another list than $extent" ;;
esac

# ---- the rolls

printf '%s\n' "$events" | sed 's/^\[//; s/\]$//; s/},{"at"/}\
{"at"/g' >"$work/events"
sed -n 's/.*"dice":\[\([0-9,]*\)\],"kind":"roll","n":\([0-9]*\),"place":\([0-9]*\)}$/\2 \3 \1/p' "$work/events" >"$work/rolls"
found=$(awk -v places="$places" -v faces="$faces" -v tickets="$tickets" '
	function next_outcome() {
		value = 0; rolls = 0; throws = 1; all = combos
		while (all < left) { all *= combos; throws++ }
		share = int(all / left)
	}
	function fill(index_,   i) {
		for (i = 1; i <= entries; i++) {
			if (gone[i]) continue
			if (index_ < weight[i]) break
			index_ -= weight[i]
		}
		gone[i] = 1; left -= weight[i]; rest--; filled++
		out = out (filled > 1 ? "," : "") number[i]
		if (filled < places && rest == 1) fill(0)
	}
	BEGIN { dice = split(faces, face, ","); combos = 1; for (d = 1; d <= dice; d++) combos *= face[d] }
	FNR == NR { entries++; number[entries] = $1; weight[entries] = $2; rest = entries; left = tickets; next }
	!throws { next_outcome() }
	{
		if (filled == places) { print "a roll after the last place"; exit }
		if ($2 != filled + 1) { print "event " $1 " is for another place"; exit }
		if (split($3, shown, ",") != dice) { print "event " $1 " has another count of dice"; exit }
		for (d = 1; d <= dice; d++) {
			if (shown[d] < 1 || shown[d] > face[d]) { print "event " $1 " shows a face the die does not have"; exit }
			value = value * face[d] + shown[d] - 1
		}
		if (++rolls < throws) next
		if (value < share * left) fill(int(value / share))
		if (filled < places) next_outcome()
	}
	END { print out }
' "$work/tickets" "$work/rolls")
if [ "$void" = true ]; then
	[ -z "$result" ] || wrong "a void draw has a result"
	grep -q '"kind":"void","n":[0-9]*,"reason":' "$work/events" || wrong "nobody declared the draw void"
	echo "holds: the draw was declared void and has no result"
else
	[ "$found" = "$result" ] || wrong "the result should be $found, not $result"
	[ "$(printf '%s\n' "$result" | awk -F , '{ print NF }')" -eq "$places" ] || wrong "not every place is filled"
	echo "holds: the rolls give $result"
fi

# ---- the ledger

note=$(printf '%s\n' "$ledger" | sed -n 's/^{"checkpoint":"\([^"]*\)".*/\1/p')
size=$(printf '%s\n' "$note" | sed -n 's/^[^\\]*\\n\([0-9]*\)\\n.*/\1/p')
head=$(printf '%s\n' "$note" | sed -n 's/^[^\\]*\\n[0-9]*\\n\([^\\]*\)\\n.*/\1/p' | base64 -d | od -An -v -tx1 | tr -d ' \n')

# stands PIN BODY: whether the body stands in the ledger (RFC 9162, 2.1.3.2)
stands() {
	fn=$(printf '%s\n' "$1" | sed -n 's/^{"leaf":\([0-9]*\),.*/\1/p')
	salt=$(printf '%s\n' "$1" | sed -n 's/.*"salt":"\([0-9a-f]*\)"}$/\1/p')
	sn=$((size - 1))
	[ "$fn" -le "$sn" ] || return 1
	hash=$(leaf "$({ bytes "$salt"; printf '%s' "$2"; } | sha)")
	for p in $(printf '%s\n' "$1" | sed -n 's/.*"proof":\[\([^]]*\)\].*/\1/p' | tr -d '"' | tr ',' ' '); do
		[ "$sn" -ne 0 ] || return 1
		if [ $((fn % 2)) -eq 1 ] || [ "$fn" -eq "$sn" ]; then
			hash=$(node "$p" "$hash")
			while [ $((fn % 2)) -eq 0 ] && [ "$fn" -ne 0 ]; do fn=$((fn / 2)) sn=$((sn / 2)); done
		else
			hash=$(node "$hash" "$p")
		fi
		fn=$((fn / 2)) sn=$((sn / 2))
	done
	[ "$sn" -eq 0 ] && [ "$hash" = "$head" ]
}

frozen=$(printf '%s\n' "$ledger" | sed -n 's/.*,"frozen":\({[^}]*}\),"key":.*/\1/p')
stands "$frozen" "{\"frozen\":$plan}" || wrong "the plan does not stand in the ledger"
echo "holds: the plan stands in the ledger of $size leaves, root $head"

printf '%s\n' "$ledger" | sed -n 's/.*,"events":\[\(.*\)\],"frozen":.*/\1/p' | sed 's/},{"leaf"/}\
{"leaf"/g' >"$work/pins"
[ "$(awk 'END { print NR }' "$work/pins")" -eq "$(awk 'END { print NR }' "$work/events")" ] || wrong "not one proof for each event"
n=0
while IFS= read -r pin <&3 && IFS= read -r event <&4; do
	n=$((n + 1))
	stands "$pin" "{\"draw\":$draw,\"event\":$event}" || wrong "event $n does not stand in the ledger"
done 3<"$work/pins" 4<"$work/events"
echo "holds: $n events stand in the ledger"
echo "Not checked here: the signature of the head, and whether a head kept elsewhere agrees."
