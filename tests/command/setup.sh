#!/bin/sh
# What src/need.sh, src/start.sh, tests/run.sh and .ci/run would do on other machines: with fake
# package managers in a PATH of our own, so that nothing is installed and nothing real is called.
# setup.sh PASSO BUILD SOURCE
set -u
source=$3
. "$source/tests/command/lib.sh"
trap 'rm -rf "$tmp"' EXIT
trap 'exit 1' HUP INT TERM
cd "$tmp" || exit 1
real_sh=$(command -v sh)

# --- every script parses ---

find "$source" -name .git -prune -o -name 'b*-*' -prune -o -name build -prune -o -name '*.sh' -print | sort >scripts
while IFS= read -r script; do
    check "sh -n ${script#"$source"/}" sh -n "$script"
done <scripts
if command -v bash >/dev/null; then check "bash -n .ci/run" bash -n "$source/.ci/run"; else skip ".ci/run" "THERE IS NO bash"; fi

# --- a machine made of fakes ---

# machine UID: a PATH with the ordinary tools, nothing of what need.sh looks for, and a user.
machine() {
    rm -rf box log
    mkdir -p box/bin box/lib
    : >log
    for tool in sh env cat sed grep head tail tr mktemp dirname rm mkdir getconf touch chmod cp sort printf basename; do
        real=$(command -v "$tool") || continue
        case $real in /*) ln -s "$real" "box/bin/$tool" ;; esac
    done
    fake id "echo $1"
    fake find 'test -e "$BOX/lib/alsa-pulse" && echo found; exit 0'
}
# fake NAME BODY: a program that writes itself into the log and does the body.
fake() {
    printf '#!%s\n%s\n' "$real_sh" "$2" >"box/bin/$1"
    chmod +x "box/bin/$1"
}
# Programs and libraries that are there when a file in box/lib says so: pkg-config, cc, clang.
toolchain() {
    fake pkg-config 'test "$1" = --exists && test -e "$BOX/lib/$2"'
    fake cc 'cat >/dev/null; case "$*" in *-lgmp*) test -e "$BOX/lib/gmp" ;; *) exit 0 ;; esac'
}
there() { for one in "$@"; do touch "box/lib/$one"; done; }
programs() { for one in "$@"; do fake "$one" 'exit 0'; done; }

# manager NAME: a fake that logs its call and, unless box/broken is there, brings each package that it
# is asked for, by this machine's own table of names. An unknown package is a fault, as in real life.
manager() {
    cat >"box/bin/$1" <<EOF
#!$real_sh
echo "$1 \$*" >>"$tmp/log"
[ -e "$tmp/box/broken" ] && exit 100
case "$1 \$1" in "apt-get update") exit 0 ;; esac
for word in "\$@"; do
    case \$word in
    install | -*) continue ;;
    gcc | libc6-dev) wanted=cc ;;
    pkg-config | pkgconf | pkgconf-pkg-config) wanted=pkg-config ;;
    make | cmake | sox | tmux | pulseaudio | clang | chromium) wanted=\$word ;;
    miller) wanted=mlr ;;
    jackd2 | jack-audio-connection-kit) wanted=jackd ;;
    jack2) wanted="jackd lib:jack" ;;
    aubio-tools | aubio) wanted=aubioonset ;;
    pulseaudio-utils | libpulse) wanted=parec ;;
    libasound2-plugins | alsa-plugins | alsa-plugins-pulseaudio) wanted=lib:alsa-pulse ;;
    portaudio19-dev | portaudio-devel | portaudio) wanted=lib:portaudio-2.0 ;;
    libsndfile1-dev | libsndfile-devel | libsndfile) wanted=lib:sndfile ;;
    libsamplerate0-dev | libsamplerate-devel | libsamplerate) wanted=lib:samplerate ;;
    libncurses-dev | ncurses-devel | ncurses) wanted=lib:ncursesw ;;
    libinih-dev | inih-devel | libinih | inih) wanted=lib:inih ;;
    libsqlite3-dev | sqlite-devel) wanted=lib:sqlite3 ;;
    libexpat1-dev | expat-devel | expat) wanted=lib:expat ;;
    libzip-dev | libzip-devel | libzip) wanted=lib:libzip ;;
    libebur128-dev | libebur128-devel | libebur128) wanted=lib:libebur128 ;;
    abcmidi) wanted=abc2midi ;;
    sqlite3) wanted=sqlite3 ;;
    sqlite) wanted="sqlite3 lib:sqlite3" ;;
    libcmocka-dev | libcmocka-devel | cmocka) wanted=lib:cmocka ;;
    libjack-jackd2-dev | jack-audio-connection-kit-devel | pipewire-jack-audio-connection-kit-devel)
        wanted=lib:jack ;;
    libgmp-dev | gmp-devel | gmp) wanted=lib:gmp ;;
    libclang-rt-*-dev | compiler-rt) wanted=lib:clang-rt ;;
    *) echo "$1: no package \$word" >&2; echo "NO PACKAGE \$word" >>"$tmp/log"; exit 1 ;;
    esac
    case "$1:\$word" in
    apt-get:*-devel | dnf:*-dev | pacman:*-dev | pacman:*-devel | brew:*-dev | brew:*-devel)
        echo "NO PACKAGE \$word" >>"$tmp/log"; exit 1 ;;
    esac
    for wanted in \$wanted; do case \$wanted in
    lib:*) touch "$tmp/box/lib/\${wanted#lib:}" ;;
    cc) cp "$tmp/box/cc" "$tmp/box/bin/cc" ;;
    pkg-config) cp "$tmp/box/pkg-config" "$tmp/box/bin/pkg-config" ;;
    *) printf '#!$real_sh\nexit 0\n' >"$tmp/box/bin/\$wanted"; chmod +x "$tmp/box/bin/\$wanted" ;;
    esac; done
done
EOF
    chmod +x "box/bin/$1"
    toolchain
    mv box/bin/cc box/cc
    mv box/bin/pkg-config box/pkg-config
}
sudo_there() { fake sudo "echo \"sudo \$*\" >>$tmp/log; exec \"\$@\""; }

# needs NEED...: need() in the box.
needs() {
    status=0
    env -i PATH="$tmp/box/bin" BOX="$tmp/box" HOME="$home" "$real_sh" -euc \
        '. "$0/src/need.sh"; need "$@"; echo all there' "$source" "$@" >out 2>err </dev/null || status=$?
}
logged() { grep -qE -- "$1" log; }

# What the scripts themselves ask for.
build_needs=$(sed -n 's/^need \(cc .*\)/\1/p' "$source/src/start.sh")
test_needs=$(sed -n 's/^need \(cc .*\)/\1/p' "$source/tests/run.sh")
rig_needs=$(sed -n 's/.*; then need \(pulseaudio.*\); fi$/\1/p' "$source/tests/run.sh")
check "what start.sh, run.sh and the rig need was found in them" \
    eval '[ -n "$build_needs" ] && [ -n "$test_needs" ] && [ -n "$rig_needs" ]'

for kind in apt-get dnf pacman brew; do
    machine 0
    manager $kind
    # macOS has its compiler and make already (xcode-select); brew brings neither.
    if [ $kind = brew ]; then
        machine 501
        manager brew
        cp box/cc box/bin/cc
        programs make
    fi
    # shellcheck disable=SC2086
    needs $test_needs
    check "$kind: an empty machine gets all that the tests need" eval 'status_is 0 && grep -q "all there" out'
    check "$kind: every package asked for exists" not logged 'NO PACKAGE'
    check "$kind: it says what it installs" grep -q '^passo: installing:' err
    : >log
    # shellcheck disable=SC2086
    needs $test_needs
    check "$kind: with all there nothing is called and nothing said" eval 'status_is 0 && [ ! -s log ] && [ ! -s err ]'
done

for kind in apt-get dnf pacman; do
    machine 0
    manager $kind
    # shellcheck disable=SC2086
    needs $test_needs $rig_needs
    check "$kind: the rig's tools too (PASSO_RIG=1)" eval 'status_is 0 && ! logged "NO PACKAGE"'
done

machine 0
manager apt-get
sudo_there
needs sox
check "root: sudo is not used though it is there" eval 'status_is 0 && ! logged sudo && logged "apt-get install"'
check "apt-get: asks nothing and takes no recommendations" logged '^apt-get install -y .*--no-install-recommends'
check "apt-get: its lists are brought up to date first" eval 'sed -n 1p log | grep -q "^apt-get update"'
check "only what is missing is installed" eval '[ "$(grep -c "^apt-get install.* sox$" log)" = 1 ]'

machine 1000
manager apt-get
sudo_there
needs sox
check "not root, with sudo: through sudo" eval 'status_is 0 && logged "^sudo .*apt-get install"'
machine 1000
manager dnf
sudo_there
needs sox
check "not root, with sudo: dnf through sudo" eval 'status_is 0 && logged "^sudo dnf install -y"'
machine 1000
manager apt-get
needs sox
check "not root, no sudo: exit 3" status_is 3
check "not root, no sudo: says so in words, with the command" eval 'grep -qi "root" err && grep -q "sox" err'
check "not root, no sudo: says it once" same "$(grep -c 'needs root' err)" 1
machine 0
manager pacman
needs sox
check "pacman: its lists are fetched first: a fresh machine has none" logged '^pacman -S[a-z]*y'
machine 501
manager brew
sudo_there
cp box/cc box/bin/cc
needs sox
check "brew is never run through sudo" eval 'status_is 0 && ! logged sudo && logged "^brew install"'
machine 0
needs sox cmake
check "no package manager: exit 3" status_is 3
check "no package manager: names what is missing and the managers it knows" \
    eval 'grep -q "sox cmake" err && grep -q "apt, dnf, pacman, brew" err'
machine 0
manager apt-get
touch box/broken
needs sox
check "a package manager that fails: exit 3, names what is still missing" \
    eval 'status_is 3 && grep -q "sox is still missing" err'
machine 0
manager apt-get
needs nosuchthing
check "a package that does not exist: exit 3" status_is 3
check "managers read nothing from standard input" eval 'grep -q "</dev/null" "$source/src/need.sh"'

# --- src/start.sh and tests/run.sh ---

# complete: a machine on which all is there; any call of a package manager is a fault.
complete() {
    machine 0
    toolchain
    # shellcheck disable=SC2086
    there $test_needs $rig_needs clang-rt
    # shellcheck disable=SC2046
    programs clang chromium mlr abc2midi $(printf '%s\n' $test_needs $rig_needs | grep -vxE 'cc|cmake|pkg-config')
    for kind in apt-get dnf pacman brew sudo; do
        fake $kind "echo 'CALLED $kind' >>$tmp/log; exit 1"
    done
    fake cmake "echo \"cmake \$*\" >>$tmp/log
case \"\$1\" in
--build) [ -e $tmp/box/bad-build ] && { echo 'error: the reason'; exit 1; }
    mkdir -p \"\$2\"; printf '#!$real_sh\necho \"passo \$*\"\n' >\"\$2/passo\"; chmod +x \"\$2/passo\" ;;
esac
exit 0"
    fake ctest "echo \"ctest \$*\" >>$tmp/log; [ ! -e $tmp/box/bad-test ]"
}
# tree: a clone in a folder with a blank in its name, with the scripts alone.
tree="$tmp/a clone"
mkdir -p "$tree/src" "$tree/tests" "$tree/.ci"
cp "$source/src/start.sh" "$source/src/need.sh" "$tree/src/"
cp "$source/tests/run.sh" "$tree/tests/"
cp "$source/.ci/run" "$tree/.ci/"
# script FILE [VARIABLE=VALUE...]: runs one of the tree's scripts in the box, from another folder.
script() {
    file=$1
    shift
    status=0
    (cd / && env -i PATH="$tmp/box/bin" BOX="$tmp/box" HOME="$home" "$@" "$real_sh" "$tree/$file" >"$tmp/out" 2>"$tmp/err" </dev/null) ||
        status=$?
}

complete
script src/start.sh
check "start.sh with all there: nothing is installed" not logged CALLED
check "start.sh builds and runs the demo" eval 'status_is 0 && out_has "^passo demo"'
check "start.sh says where the program is" err_has "a clone/build/passo"
touch box/bad-build
script src/start.sh
check "start.sh, a build that fails: exit 3 and the last lines of the log" eval 'status_is 3 && err_has "the reason"'
check "start.sh leaves no temporary file" same "$(find /tmp -maxdepth 1 -name 'tmp.*' -newer "$tmp/log" -type f | head -n 1)" ""
complete
rm box/bin/sox box/bin/tmux box/lib/cmocka box/lib/gmp
script src/start.sh
check "start.sh does not ask for what only the tests need" eval 'status_is 0 && ! logged CALLED'

complete
script tests/run.sh
check "run.sh with all there: nothing is installed" not logged CALLED
check "run.sh builds and tests" eval 'status_is 0 && logged "^ctest"'
check "run.sh, not in CI: no sanitizer builds, no rig" eval '! logged SANITIZE && ! logged "PASSO_RIG=ON"'
check "run.sh, not in CI: says loudly that the rig was left out" err_has "RIG WAS LEFT OUT"
complete
for one in $rig_needs; do rm -f "box/bin/$one" "box/lib/$one"; done
script tests/run.sh
check "run.sh, not in CI: no sound server is asked for" eval 'status_is 0 && ! logged CALLED'
script tests/run.sh PASSO_RIG=1
check "run.sh with PASSO_RIG=1: the sound servers are asked for" logged "CALLED apt-get"
complete
script tests/run.sh PASSO_RIG=1
check "run.sh with PASSO_RIG=1: the rig is on" eval 'status_is 0 && logged "PASSO_RIG=ON"'
complete
script tests/run.sh CI=true
check "run.sh in CI: clang with ASan and UBSan, gcc with TSan, gcc with the rig" eval \
    'status_is 0 && logged "clang.*address,undefined" && logged "SANITIZE=thread" && logged "PASSO_RIG=ON" && [ "$(grep -c ^ctest log)" = 3 ]'
check "run.sh in CI: warnings are errors in all three" same "$(grep -c '^cmake -S.*PASSO_WERROR=ON' log)" 3
complete
touch box/bad-test
script tests/run.sh
check "run.sh: a failing test fails it" not status_is 0
complete
touch box/bad-build
script tests/run.sh
check "run.sh: a failing build fails it, with the reason" eval '! status_is 0 && { err_has "the reason" || out_has "the reason"; }'
complete
script tests/run.sh "PASSO_BUILD=$tmp/another place"
check "run.sh: PASSO_BUILD names the build folder" eval 'status_is 0 && logged "another place"'

# --- README and .ci/run ---

for command in "sh src/start.sh" "sh tests/run.sh"; do
    check "README names: $command" grep -qx "    $command" "$source/README.md"
done
if command -v bash >/dev/null; then
    printf '#!/bin/sh\necho "ran in $(pwd) with: $*"\nexit 7\n' >"$tree/tests/run.sh"
    sed 's|^    sh tests/run\.sh.*|    sh tests/run.sh --changed "a b"|' "$source/README.md" >"$tree/README.md"
    status=0
    (cd / && bash "$tree/.ci/run" >"$tmp/out" 2>"$tmp/err" </dev/null) || status=$?
    check ".ci/run runs the line of README.md, as it stands there" out_has "with: --changed a b"
    check ".ci/run runs it in the clone" out_has "ran in .*a clone"
    check ".ci/run has its exit status" status_is 7
    grep -v 'tests/run\.sh' "$source/README.md" >"$tree/README.md"
    status=0
    bash "$tree/.ci/run" >"$tmp/out" 2>"$tmp/err" </dev/null || status=$?
    check ".ci/run fails if README.md names no command" eval '! status_is 0 && err_has README'
fi
finish
