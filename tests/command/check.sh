#!/bin/sh
# The last look before a performance, by the real program: session 9 of the trade page.
# check.sh PASSO BUILD SOURCE
set -u
passo=$1
source=$3
. "$source/tests/command/lib.sh"
trap 'rm -rf "$tmp"' EXIT
trap 'exit 1' HUP INT TERM
cd "$tmp" || exit 1

# spot NAME METER BARS TARGET
spot() {
    printf '[passage]\ntitle = Spot %s\npiece = Concert\nmeter = %s\nbars = 1-%s\ntarget = quarter = %s\n' \
        "$1" "$2" "$3" "$4" >"$1.passo"
    run add "$1.passo"
}
spot A 4/4 4 132
spot B 3/4 8 112
spot C 4/4 8 96
spot D 3/4 4 66
spot E 4/4 4 88
# column NUMBER: of the CSV, without its head.
column() { tail -n +2 check.csv | cut -d, -f"$1" | tr '\n' ' '; }

printf 'ccccc' >marks
run check A B C D E --fast --marks marks --csv check.csv --log look.sqlite
check "five spots, all clean" status_is 0
check "once each, in the programme's order" same "$(column 4)" "Spot A Spot B Spot C Spot D Spot E "
check "logged as checks" same "$(column 7)" "check check check check check "
check "each as long as the trade page says" same "$(column 20)" "7.727 13.393 20.625 11.818 11.591 "
check "with rests of twice that, 15 s at least" same "$(column 21)" "15.455 26.786 41.250 23.636 23.182 "
check "206.8 s in all" same "$(tail -n +2 check.csv | awk -F, '{ t += $22 } END { printf "%.1f", t }')" 206.8
check "nothing moves" same "$(column 18 | tr -d ' ')" ""
check "it ends with plain words" out_has "That was the last look"
check "and no score" not grep -Eq '[0-9] of [0-9]|%' "$tmp/out"
check "the log has them, and no tempo won" same "$(sqlite3 look.sqlite 'SELECT count(*), sum(move) FROM pass')" "5|0"
run list --log look.sqlite
check "they are no practice" out_has "not yet, due"

printf 'ccmccc' >marks
run check A B C D E --fast --marks marks --csv check.csv --force
check "after a miss one more at 76.8, then on" same "$(column 12)" "132 112 96 76.8 66 88 "
printf 'ccmmccc' >marks
run check A B C D E --fast --marks marks --csv check.csv --force
check "never a third" same "$(column 12)" "132 112 96 76.8 66 88 "
printf 'c.ccc' >marks
run check A B C D E --fast --marks marks --csv check.csv --force
check "one without a mark is let pass" same "$(column 12)" "132 112 96 66 88 "

run check A B C D E --at "90 %" --quiet "octave down" --fast --simulate --csv check.csv --force
check "quieter and slower" same "$(column 12)" "118.8 100.8 86.4 59.4 79.2 "
check "an octave down" out_has "octave down, softly"
run check A B C D E --drawn --list --date 2026-11-30
cp "$tmp/out" drawn
run check A B C D E --drawn --list --date 2026-11-30
check "drawn: the same day the same order" cmp -s drawn "$tmp/out"
orders=0
for day in 01 02 03 04 05 06; do
    run check A B C D E --drawn --list --date "2026-12-$day"
    cmp -s drawn "$tmp/out" || orders=$((orders + 1))
done
check "another day another" test "$orders" -ge 4
run check --list
check "without names all of one's own" same "$(grep -c 'Spot [A-E]' "$tmp/out")" 5

for n in 1 2 3 4 5 6 7 8 9 10 11 12; do spot "L$n" 4/4 16 80; done
run check L1 L2 L3 L4 L5 L6 L7 L8 L9 L10 L11 L12 --list
check "it stays under eight minutes" out_has "About 7 min"
check "and says what is left out" out_has "is left out: a check stays under 8 minutes"

printf 'mmmmmmmmmmmmmmmm' >many
run check L1 L2 L3 L4 L5 L6 --fast --marks many --csv check.csv --force
seconds=$(awk -F, 'NR > 1 { t += $20 + $21; n++ } END { print int(t) }' check.csv)
check "under eight minutes though every pass is missed" test "$seconds" -lt 480
check "and then with other words, no score" out_has "What slipped went by once more"
spot long 4/4 100 60
run check A long B --list
check "what is too long alone is left out, not the others" same "$(grep -c 'Spot [AB],' "$tmp/out")" 2
check "and is told" out_has "Spot long is left out"
refused "a spot named twice" "named twice" -- check A B A
refused "a share that is no check" "85 %" -- check A --at 70
refused "an unknown way to be quiet" "fingers" -- check A --quiet whispering
refused "nobody's passage" "no passage is filed under that name" -- check nobody
HOME=$tmp/empty
XDG_DATA_HOME=$tmp/empty
refused "nothing to look at" "no passage to look at" -- check

finish
