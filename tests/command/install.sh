#!/bin/sh
# The installed program, in a prefix of its own: it finds what was installed with it, from any folder
# and for any user; and a C program builds against the installed engine.
# install.sh PASSO BUILD SOURCE CMAKE CC [SANITIZERS]
set -u
passo=$1
build=$2
source=$3
cmake=$4
cc=$5
sanitize=${6:-}
. "$source/tests/command/lib.sh"
planted=$build/data/presets/only-in-the-build-folder.passo
on_exit() {
    rm -f "$planted"
    rm -rf "$tmp"
}
trap on_exit EXIT
trap 'exit 1' HUP INT TERM
cd "$tmp" || exit 1

# --- the build folder's own ---

run climb --target 96 --preset steady --fast --simulate
check "built: a preset is found from another folder" eval '{ status_is 0 || status_is 1; } && err_empty'
run demo
check "built: the demo's passage is found" status_is 0
run pulse --sounds nosuch --silent
sets=$(sed 's/.*there are: \(.*\), or a folder.*/\1/' "$tmp/err")
check "built: at least two click sets ($sets)" eval '[ "$(printf "%s" "$sets" | tr -cd , | wc -c)" -ge 1 ]'

# --- installed ---

if ! "$cmake" --install "$build" --prefix "$tmp/prefix" >installed 2>&1; then
    fail "cmake --install" "$(tail -n 5 installed)"
    finish
fi
pass "cmake --install into a prefix"
prefix=$tmp/prefix
check "bin/passo is there" test -x "$prefix/bin/passo"
check "every preset of the source is there" same \
    "$(ls "$prefix/share/passo/presets")" "$(cd "$source/presets" && ls ./*.passo | sed 's|./||')"
check "the demo's passage is there" test -s "$prefix/share/passo/passages/marrowby-march.passo"
check "every routine of the source is there" same \
    "$(ls "$prefix/share/passo/routines")" "$(cd "$source/presets/routines" && ls ./*.passo | sed 's|./||')"
check "at least two click sets are there" eval '[ "$(ls "$prefix/share/passo/sounds" | wc -l)" -ge 2 ]'
check "nothing lies outside bin, lib, include, share" same \
    "$(ls "$prefix" | grep -vxE 'bin|lib|lib64|include|share')" ""
check "no test and no generator is installed" same "$(ls "$prefix/bin")" passo
check "installed files can be read by all" same \
    "$(find "$prefix" -type f ! -perm -a=r; find "$prefix" -type d ! -perm -a=rx)" ""

# Elsewhere, another home, and the program by its path, by PATH and by a symbolic link.
mkdir elsewhere other-home
cd elsewhere || exit 1
HOME=$tmp/other-home
export HOME
unset XDG_CONFIG_HOME XDG_DATA_HOME XDG_STATE_HOME
passo=$prefix/bin/passo
# What was installed is changed a little, so that the build folder's data could not pass for it.
printf '# A mark of the installed one.\n[ladder]\nstart = 60 %%\nsteps = 7 bpm\n' >"$prefix/share/passo/presets/steady.passo"
run plan --target 100 --preset steady
check "installed: its own preset is used, not the build folder's" \
    same "$(awk '/of target/ {on = 1; next} !NF {on = 0} on {printf "%s ", $2}' "$tmp/out")" "60 67 74 81 88 95 100 "
run climb --help
check "installed: --help lists its own presets" out_has "steady  *A mark of the installed one"
check "installed: --help lists them all" same "$(sed -n '/^Presets/,/^$/p' "$tmp/out" | grep -c '^  [a-z]')" \
    "$(ls "$source"/presets/*.passo | wc -l | tr -d ' ')"
sed 's/^title .*/title = The installed march/' "$prefix/share/passo/passages/marrowby-march.passo" >"$tmp/changed" &&
    cp "$tmp/changed" "$prefix/share/passo/passages/marrowby-march.passo"
run demo
check "installed: the demo plays its own passage" eval 'status_is 0 && head -n 1 "$tmp/out" | grep -q "The installed march"'
run climb marrowby-march --fast --simulate
check "installed: a shipped passage by its name" eval 'err_empty && out_has "The installed march"'
printf '# An installed one.\n[block a]\nminutes = 1\nfree = yes\n' >"$prefix/share/passo/routines/school.passo"
run list routines
check "installed: its own routines are listed" out_has "school  *An installed one"
mv "$prefix/share/passo/sounds" "$prefix/share/passo/away"
mkdir "$prefix/share/passo/sounds"
first=$(ls "$prefix/share/passo/away" | head -n 1)
cp -R "$prefix/share/passo/away/$first" "$prefix/share/passo/sounds/only-installed"
run climb --target 96 --sounds only-installed --fast --simulate
check "installed: its own click sets are found" eval 'err_empty && { status_is 0 || status_is 1; }'
rm -r "$prefix/share/passo/sounds"
mv "$prefix/share/passo/away" "$prefix/share/passo/sounds"
for set in "$prefix"/share/passo/sounds/*; do
    run climb --target 96 --sounds "$(basename "$set")" --fast --simulate
    check "installed: click set $(basename "$set")" eval 'err_empty && { status_is 0 || status_is 1; }'
done
ln -s "$prefix/bin/passo" "$tmp/link"
passo=$tmp/link
run plan --target 100 --preset steady
check "installed: called through a link" out_has " 67 "
passo=$prefix/bin/passo
PATH=$prefix/bin:$PATH
passo=passo
run plan --target 100 --preset steady
check "installed: called through PATH" out_has " 67 "
mv "$prefix" "$tmp/moved"
passo=$tmp/moved/bin/passo
run plan --target 100 --preset steady
check "installed and moved: it finds its own" out_has " 67 "
mv "$tmp/moved" "$prefix"
passo=$prefix/bin/passo

# A preset that only the build folder has is no business of an installed program.
printf '# Planted.\n[ladder]\nsteps = 9 bpm\n' >"$planted"
run plan --target 100 --preset only-in-the-build-folder
check "installed: the build folder is not looked into" status_is 2
rm -f "$planted"

# The player's own come first.
mkdir -p "$HOME/.config/passo/presets" "$HOME/.local/share/passo/passages"
printf '# Mine.\n[ladder]\nstart = 60 %%\nsteps = 20 bpm\n' >"$HOME/.config/passo/presets/steady.passo"
run plan --target 100 --preset steady
check "installed: a player's own preset wins" \
    same "$(awk '/of target/ {on = 1; next} !NF {on = 0} on {printf "%s ", $2}' "$tmp/out")" "60 80 100 "
printf '[passage]\ntitle = Mine\ntarget = 100\n' >"$HOME/.local/share/passo/passages/mine.passo"
run climb mine --fast --simulate
check "installed: a player's own passage by its name" out_has "Mine"
HOME="" run plan --target 100 --preset steady
check "installed: with an empty HOME" out_has " 67 "
unset HOME
run plan --target 100 --preset steady
check "installed: with no HOME at all" out_has " 67 "
export HOME="$tmp/other-home"

# --- the engine as a library ---

cat >frame.c <<'EOF'
#include <inttypes.h>
#include <passo/tempo.h>
#include <stdio.h>

/* Bar 2 of 4/4 at quarter = 96 and 48 kHz: 4 beats of 30000 frames. */
int main(void)
{
    struct passo_instant zero = {0, 0};
    struct passo_tempo tempo = {96000, {1, 4}};
    struct passo_ratio place = {1, 1};
    printf("%" PRId64 "\n", passo_tempo_frame(zero, place, tempo, 48000));
    return 0;
}
EOF
flags="-std=c17 -Wall -Wextra -Wpedantic -Werror"
[ -z "$sanitize" ] || flags="$flags -fsanitize=$sanitize"
library=$(find "$prefix" -name libpasso.a)
check "libpasso.a is installed" test -n "$library"
# shellcheck disable=SC2086
if "$cc" $flags -I"$prefix/include" frame.c "$library" -lm -o frame 2>compiled; then
    pass "a C program builds against the installed engine"
    check "it prints the frame of bar 2 at 96: 120000" same "$(./frame)" 120000
else
    fail "a C program builds against the installed engine" "$(head -n 8 compiled)"
fi
for header in "$prefix"/include/passo/*.h; do
    name=$(basename "$header")
    printf '#include <passo/%s>\n#include <passo/%s>\nint main(void){return 0;}\n' "$name" "$name" >alone.c
    check "passo/$name compiles alone and twice, with no warning" \
        "$cc" -std=c17 -Wall -Wextra -Wpedantic -Wstrict-prototypes -Werror -I"$prefix/include" -fsyntax-only alone.c
done
check "the library needs nothing of the system but libc and libm" same "$(nm -u "$library" 2>/dev/null |
    sed -n 's/^ *U //p' | sort -u | grep -E '^(open|read|write|fopen|time|socket|fork)$|^(pthread_|clock_|Pa_|sf_|snd_)' | head -n 3)" ""
finish
