#!/bin/sh
# import and export of the real program: trade.md's session 15 with thirty logs; kills, breaks, full
# disks and locks, after which the log is as it was; odd cells, read by other programs' parsers.
# record.sh PASSO BUILD SOURCE
set -u
passo=$1
build=$2
source=$3
. "$source/tests/command/lib.sh"
mounted=
trap '[ -z "$mounted" ] || umount "$mounted"; rm -rf "$tmp"' EXIT
trap 'exit 1' HUP INT TERM
cd "$tmp" || exit 1
header=time,player,session,passage,piece,pass,part,loop,bars,variant,beat_unit,tempo,target,mark,marked_by,miss_bar,clean_in_a_row,move,next_tempo,play_s,rest_s,elapsed_s

# rows STUDENT PASSES DAYS: four passages a day from 2 November 2026.
rows() {
    awk -v who="$1" -v passes="$2" -v days="$3" 'BEGIN {
        split("The run up to the trio|March, letter C|Slow air|Finale", title, "|")
        for (day = 0; day < days; day++) for (p = 1; p <= 4; p++) for (n = 1; n <= passes; n++)
            printf "2026-11-%02dT18:%02d:%02d+01:00,%s,202611%02dT18%02d00,\"%s\",The Marrowby Suite,%d,climb,whole,1-8,as written,quarter,%d,104,%s,key,,%d,raised,%d,8.000,8.000,%d.000\r\n",
                day + 2, p * 10, n * 16, who, day + 2, p * 10, title[p], n, 56 + 4 * (n + day), n % 3 ? "clean" : "miss", n % 3, 60 + 4 * (n + day), 16 * n
    }'
}
sum() { "$passo" export --log "$1" 2>/dev/null | sha256sum; }

# --- session 15: thirty logs, four passages, seven days; one is empty, one torn ---

mkdir logs
for n in 01 02 03 04 05 06 07 08 09 10 11 12 13 14 15 16 17 18 19 20 21 22 23 24 25 26 27 28; do
    { printf '%s\r\n' "$header"; rows "" 3 7; } >"logs/s$n.csv"
done
{ printf '%s\r\n' "$header"; rows "" 3 7; printf '2026-11-08T19:00:00+01:00,,20261108T190000,"Fin'; } >logs/s29.csv
printf '%s\r\n' "$header" >logs/s30.csv
run import logs/*.csv --by-file-name --log studio.sqlite
check "thirty logs are taken in by one call" eval 'status_is 0 && same "$(wc -l <"$tmp/out")" 30'
check "one sentence a file" out_has '^logs/s01\.csv: 84 passes taken in\.$'
check "a student without rows is known" out_has '^logs/s30\.csv: no passes; s30 is known to the log now\.$'
check "the rest of a torn log is kept" out_has '^logs/s29\.csv: 84 passes taken in\.$'
check "a torn last line is told by file and line" eval 'err_has "^passo: logs/s29\.csv, line 86: this last line is cut off" && same "$(wc -l <"$tmp/err")" 1'
run export --days --log studio.sqlite
check "a row a passage and day" eval 'status_is 0 && same "$(wc -l <"$tmp/out")" "$((29 * 4 * 7 + 1))"'
check "its columns" out_has "^date,player,passage,piece,beat_unit,target,first_try,best_clean,level,passes,clean,missed,clean_share,play_min,ended"
check "a day to the letter" out_has '^2026-11-02,s07,"March, letter C",The Marrowby Suite,quarter,104,clean,64,61\.5,3,2,1,66\.7,0\.4,stopped'
check "a share of four passages for each of twenty-nine" eval 'same "$(tail -n +2 "$tmp/out" | sed "s/,The Marrowby.*//;s/^[^,]*,//" | sort -u | wc -l)" 116'
before=$(sum studio.sqlite)
run import logs/*.csv --by-file-name --log studio.sqlite
check "all of it again adds nothing" eval 'status_is 0 && same "$before" "$(sum studio.sqlite)" && same "$(grep -c "nothing new; the 84 passes in it were there already" "$tmp/out")" 29'

# What the program itself writes.
run climb --fast --simulate --title Finale --target 104 --player A.B. --csv climb.csv
check "a climb writes its rows" eval 'status_is 0 || status_is 1'
run import climb.csv --log own.sqlite
check "a climb's rows are taken in" eval 'status_is 0 && err_empty'
run export --log own.sqlite
check "and written again as they were" eval 'cmp -s climb.csv "$tmp/out"'
printf 'cccmcuccc' >marks
run climb --fast --marks marks --title Finale --target 104 --player A.B. --csv undone.csv
run import undone.csv --log undone.sqlite
check "a climb with marks taken back is taken in" eval 'status_is 0 && err_empty && grep -q ,changed, undone.csv'

# --- what is asked for ---

run export "march, LETTER c" --player s03 --from 2026-11-03 --to 2026-11-04 --log studio.sqlite
check "a title in small and capital letters, a player, some days" eval 'status_is 0 && same "$(wc -l <"$tmp/out")" 7 && same "$(grep -c "^2026-11-0[34].*,s03,.*letter C" "$tmp/out")" 6'
printf '[passage]\ntitle = Slow air\npiece = The Marrowby Suite\ntarget = 104\n' >air.passo
run add air.passo
run export air --log studio.sqlite
check "the name of a filed passage" eval 'status_is 0 && same "$(wc -l <"$tmp/out")" "$((29 * 21 + 1))"'
run export air "Slow air" finale --log studio.sqlite
check "a passage that is named twice comes once" eval 'status_is 0 && same "$(sed 1d "$tmp/out" | sort | uniq -d | wc -l)" 0 && grep -q Finale "$tmp/out"'
run export Polka --log studio.sqlite
check "a name that is none" eval 'status_is 2 && out_empty && err_has "^passo: Polka: no passage is filed under that name, and none of that title is in the log$"'
run export --player nobody --log studio.sqlite
check "no such pass" eval 'status_is 0 && same "$(wc -l <"$tmp/out")" 1 && err_has "no such pass in the log"'
run export --csv out.csv --log studio.sqlite
check "into a file" eval 'status_is 0 && out_has "^out.csv: 2436 passes written\.$"'
refused "no file is written over" "out.csv exists already" -- export --csv out.csv --log studio.sqlite
check "a file is written over by force" eval 'run export --csv out.csv --force --days --log studio.sqlite; status_is 0 && head -n 1 out.csv | grep -q "^date,"'
refused "an export over the log that it reads" "is the log itself; name another file" -- export --csv ./studio.sqlite --force --log studio.sqlite
check "and the log is as it was" same "$before" "$(sum studio.sqlite)"
mkfifo pipe
cat pipe >piped &
run export --csv pipe --log studio.sqlite
wait
check "into a pipe" eval 'status_is 0 && same "$(wc -l <piped)" 2437'
run export --csv /dev/full --log studio.sqlite
check "a full device is told" eval 'status_is 3 && err_has "/dev/full cannot be written: No space left on device"'
mkdir limited
(ulimit -f 100 && cd limited && "$passo" export --csv half.csv --log ../studio.sqlite >"$tmp/out" 2>"$tmp/err")
status=$?
check "no half file is left where there is no room" eval 'status_is 3 && err_has "half.csv cannot be written: .*no file was left" && same "$(ls -A limited)" ""'
for after in 0.005 0.02 0.05; do
    (cd limited && timeout -s INT $after "$passo" export --csv part.csv --log ../studio.sqlite >/dev/null 2>&1)
    [ "$(ls -A limited)" = "" ] || [ "$(wc -l <limited/part.csv)" = 2437 ] || break
    rm -f limited/part.csv
done
check "an export that is broken off leaves nothing or all of it" same "$(ls -A limited)" ""
{ "$passo" export --log studio.sqlite 2>"$tmp/err"; echo $? >closed; } | true
check "a reader that goes away is told" eval 'same "$(cat closed)" 3 && err_has "nobody reads it any more"'

# --- what cannot be taken in ---

mkdir folder
: >empty.csv
tr , ';' <logs/s01.csv >semicolons.csv
printf 'not a table\n' >text.csv
refused "no file" "which file?" -- import --log new.sqlite
refused "a missing file" "nix.csv: there is no such file" -- import nix.csv --log new.sqlite
refused "a folder" "folder: this is a folder" -- import folder --log new.sqlite
refused "a pipe" "pipe: this is a pipe" -- import pipe --log new.sqlite
refused "an empty file" "empty.csv: this file is empty" -- import empty.csv --log new.sqlite
refused "semicolons" "set apart by semicolons; save it with commas" -- import semicolons.csv --log new.sqlite
refused "some text" "text.csv: this is no session CSV" -- import text.csv --log new.sqlite
refused "the log itself" "this is no session CSV" -- import studio.sqlite --log new.sqlite
refused "two ways to name a player" "do not go together" -- import logs/s01.csv --player A --by-file-name --log new.sqlite
refused "no name in a file's name" "no player can be told" -- import - --by-file-name --log new.sqlite
check "of all these nothing was taken in" eval 'same "$(sum new.sqlite)" "$(printf "%s\r\n" "$header" | sha256sum)"'
run import logs/s01.csv ./logs/s01.csv --player A.B. --log once.sqlite
check "a file that is named twice" eval 'status_is 0 && same "$(wc -l <"$tmp/out")" 1 && err_has "s01.csv: this file was named before"'
run import logs/s02.csv --log once.sqlite
check "rows that name no player are the user's own, and it is said" eval 'status_is 0 && err_has "84 passes name no player and count as your own"'
input=logs/s03.csv
run import - --player C.D. --log once.sqlite
input=
check "standard input" eval 'status_is 0 && out_has "^standard input: 84 passes taken in\.$"'
sed 's/^2026-11-05\(.*\),quarter,[0-9]*,/2026-11-05\1,quarter,4,/' logs/s04.csv >bad.csv
before=$(sum once.sqlite)
run import bad.csv logs/s05.csv --by-file-name --log once.sqlite
check "a bad file leaves nothing, a good one beside it is kept" eval 'status_is 2 && err_has "bad.csv, line 38: tempo is \"4\"" && err_has "bad.csv: nothing of it was taken in" && out_has "s05.csv: 84 passes taken in"'
run export --player bad --log once.sqlite
check "nor its player" err_has "no such pass"
printf '%s\n2026-11-02T18:00:00Z,,s,\033[2J,,1,\033]0;x\007,w,,a,quarter,84,,clean,,,,,,,,\n' "$header" >evil.csv
run import evil.csv --log once.sqlite
check "what a file holds cannot move the terminal" eval 'status_is 2 && is_plain_text "$tmp/err"'

# --- killed, broken off, locked, no room ---

"$build/tests/bench/bench_make_passes" 100000 >long.csv
run import logs/s01.csv --player A.B. --log kept.sqlite
before=$(sum kept.sqlite)
for signal in KILL INT; do
    for after in 0.05 0.15 0.25; do
        timeout -s $signal $after "$passo" import long.csv --log kept.sqlite >/dev/null 2>"$tmp/err"
        status=$?
        [ $status = 0 ] && break # it was faster
        check "after SIG$signal at $after s the log is as it was" same "$before" "$(sum kept.sqlite)"
    done
    [ $status = 0 ] && break
done
run import long.csv --log kept.sqlite
check "and takes in the file afterwards" eval 'status_is 0 && err_empty'
check "on no terminal no progress is told" err_empty

if [ "$(id -u)" = 0 ] && mkdir small && mount -t tmpfs -o size=3m none small 2>/dev/null; then
    mounted=$tmp/small
    run import logs/s01.csv --player A.B. --log small/log.sqlite
    before=$(sum small/log.sqlite)
    run import long.csv --log small/log.sqlite
    check "a full disk is told" eval 'status_is 3 && err_has "small/log.sqlite: the disk is full"'
    check "and the log is as it was" same "$before" "$(sum small/log.sqlite)"
    umount "$mounted" && mounted=
else
    skip "a full disk" "no file system can be mounted here"
fi
run import logs/s01.csv --player A.B. --log limited.sqlite
before=$(sum limited.sqlite)
(ulimit -f 1000 && "$passo" import long.csv --log limited.sqlite >"$tmp/out" 2>"$tmp/err")
status=$?
check "a limit on files is told" eval 'status_is 3 && err_has "limited.sqlite: "'
check "and leaves the log as it was" same "$before" "$(sum limited.sqlite)"

"$passo" import long.csv --log two.sqlite >two.out 2>two.err &
first=$!
run import logs/s01.csv --player A.B. --log two.sqlite
wait $first
check "of two imports at once one waits for the other" eval 'status_is 0 && grep -q "^long.csv: 100000 passes taken in" two.out && out_has "84 passes taken in"'
if command -v sqlite3 >/dev/null; then
    { echo 'BEGIN IMMEDIATE;'; sleep 1; echo 'ROLLBACK;'; } | sqlite3 two.sqlite &
    sleep 0.3
    run import logs/s02.csv --player C.D. --log two.sqlite
    wait
    check "a locked log is waited for, and it is said" eval 'status_is 0 && out_has "84 passes taken in" && err_has "another program is writing to the log; waiting for it"'
else
    skip "a locked log" "there is no sqlite3"
fi

# --- other readers of what is written ---

if ! command -v python3 >/dev/null; then
    skip "odd cells by Python's csv module" "there is no python3"
    finish
fi
# Odd texts by Python, into the log, out again, and by Python and Miller against what went in.
cat >odd.py <<'PY'
import csv, sys
texts = ["=1+1", "+1", "-1", "@SUM(A1)", "\tx", "\rx", "a,b", 'say "ah"', "two\nlines", "two\r\nlines",
         "'quoted", "''", " blank ", "Böhmisch ♭ 𝄞", "x" * 3000, "", ";", "changed", "0012", "1e5", "TRUE", "'=1"]
header = "time,player,session,passage,piece,pass,part,loop,bars,variant,beat_unit,tempo,target,mark,marked_by,miss_bar,clean_in_a_row,move,next_tempo,play_s,rest_s,elapsed_s".split(",")
def cell(text):  # as the page on the format says
    return "'" + text if text[:1] and text[0] in "=+-@\t\r\n'" else text
def text(cell):
    return cell[1:] if cell[:1] == "'" and cell[1:2] and cell[1] in "=+-@\t\r\n'" else cell
rows = []
for i, one in enumerate(texts):
    other = texts[(i * 7 + 3) % len(texts)]
    rows.append(["2026-03-29T%02d:00:00%s" % (i % 24, ["+01:00", "+02:00", "-03:30", "+05:45"][i % 4]), one, other, "p%02d" % i, other,
                 str(i + 1), "climb", one, other, one, other, "63.75", "96", "clean", "key", "", "1", "raised", "64", "8.000", "8.000", "20.000"])
if sys.argv[1] == "write":
    with open(sys.argv[2], "w", newline="", encoding="utf-8") as out:
        writer = csv.writer(out)
        writer.writerow(header)
        writer.writerows([[cell(c) if header[k] not in ("time",) else c for k, c in enumerate(r)] for r in rows])
elif sys.argv[1] == "csv":
    got = list(csv.reader(open(sys.argv[2], newline="", encoding="utf-8")))
    assert got[0] == header, got[0]
    for r in got[1:]:
        assert all(not c or c[0] not in "=+-@\t\r\n" for c in r), r
    assert sorted([[text(c) for c in r] for r in got[1:]]) == sorted(rows)
else:
    import json
    got = json.load(open(sys.argv[2], encoding="utf-8"), parse_float=str, parse_int=str)
    wanted = list(csv.DictReader(open(sys.argv[3], newline="", encoding="utf-8")))
    # Miller writes a line break in a cell as the system's own, whatever it was.
    unix = lambda r: {k: str(v).replace("\r\n", "\n") for k, v in r.items()}
    assert [unix(r) for r in got] == [unix(r) for r in wanted]
PY
python3 odd.py write odd.csv
run import odd.csv --log odd.sqlite
check "odd cells are taken in" eval 'status_is 0 && out_has "22 passes taken in"'
"$passo" export --log odd.sqlite >odd.out
check "Python's csv module reads the same cells, none a formula" python3 odd.py csv odd.out
if command -v mlr >/dev/null; then
    mlr --icsv --ojson -S cat odd.out >odd.json
    check "Miller reads the same cells" python3 odd.py json odd.json odd.out
else
    skip "odd cells by Miller" "there is no mlr"
fi
run import odd.out --log back.sqlite
"$passo" export --log back.sqlite >back.out
check "there and back is equal to the byte" cmp -s odd.out back.out
check "whatever the locale" eval 'LC_ALL=de_DE.UTF-8 "$passo" export --log odd.sqlite >odd.de && cmp -s odd.out odd.de'

# --- an octave that the variant's name does not tell ---

printf 'cccccccccccccm' >octaves
run climb --title Oct --target 80 --bars 1-4 --variant "low=octave -1" --variant "octave study=as written" \
    --fast --marks octaves --log oct.sqlite
run export --log oct.sqlite --csv oct.csv
check "a CSV tells it" eval 'grep -q ",low (an octave away)," oct.csv && grep -q ",octave study (at pitch)," oct.csv'
run import --log oct2.sqlite oct.csv
run export --log oct2.sqlite --csv oct2.csv
check "it is the same to the byte when it comes back" cmp -s oct.csv oct2.csv
run export --days --log oct.sqlite
cp out days.one
run export --days --log oct2.sqlite
check "and so is what makes the level" cmp -s days.one out
check "the names are the player's" same "$(sqlite3 oct2.sqlite "SELECT count(*) FROM text WHERE text IN ('low', 'octave study')" 2>/dev/null || echo 2)" 2

finish
