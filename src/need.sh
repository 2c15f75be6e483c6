# Sourced by src/start.sh and tests/run.sh: installs what is missing, with the package manager that
# is there, and does nothing when all is there. Works as root without sudo, with no terminal.

say() { printf 'passo: %s\n' "$*" >&2; }
have() { command -v "$1" >/dev/null 2>&1; }

# as_root COMMAND...: with sudo only where it is needed.
as_root() {
    if [ "$(id -u)" = 0 ]; then
        "$@"
    elif have sudo; then
        sudo "$@"
    else
        say "this needs root, and there is no sudo: $*"
        exit 3
    fi
}

# have_library NAME: a library as pkg-config knows it, or, for those without such a file, a header.
have_library() {
    case $1 in
    gmp) printf '#include <gmp.h>\nint main(void){return 0;}\n' | cc -x c - -lgmp -o /dev/null 2>/dev/null ;;
    *) have pkg-config && pkg-config --exists "$1" ;;
    esac
}

# package_of MANAGER NEED: the package that brings a need; nothing if there is none.
package_of() {
    case $1:$2 in
    apt:cc) echo gcc libc6-dev ;;
    apt:pkg-config) echo pkg-config ;;
    apt:portaudio-2.0) echo portaudio19-dev ;;
    apt:sndfile) echo libsndfile1-dev ;;
    apt:samplerate) echo libsamplerate0-dev ;;
    apt:ncursesw) echo libncurses-dev ;;
    apt:inih) echo libinih-dev ;;
    apt:sqlite3) echo libsqlite3-dev ;;
    apt:sqlite3-shell) echo sqlite3 ;;
    apt:expat) echo libexpat1-dev ;;
    apt:libzip) echo libzip-dev ;;
    apt:libebur128) echo libebur128-dev ;;
    *:abc2midi) echo abcmidi ;;
    apt:mlr | dnf:mlr | pacman:mlr | brew:mlr) echo miller ;;
    apt:cmocka) echo libcmocka-dev ;;
    apt:gmp) echo libgmp-dev ;;
    apt:aubioonset) echo aubio-tools ;;
    apt:parec) echo pulseaudio-utils ;;
    apt:jackd) echo jackd2 ;;
    apt:jack) echo libjack-jackd2-dev ;;
    apt:alsa-pulse) echo libasound2-plugins ;;
    apt:clang-rt) echo "libclang-rt-$(clang_major)-dev" ;;
    dnf:cc) echo gcc ;;
    dnf:pkg-config) echo pkgconf-pkg-config ;;
    dnf:portaudio-2.0) echo portaudio-devel ;;
    dnf:sndfile) echo libsndfile-devel ;;
    dnf:samplerate) echo libsamplerate-devel ;;
    dnf:ncursesw) echo ncurses-devel ;;
    dnf:inih) echo inih-devel ;;
    dnf:sqlite3) echo sqlite-devel ;;
    dnf:expat) echo expat-devel ;;
    dnf:libzip) echo libzip-devel ;;
    dnf:libebur128) echo libebur128-devel ;;
    *:sqlite3-shell) echo sqlite ;;
    dnf:cmocka) echo libcmocka-devel ;;
    dnf:gmp) echo gmp-devel ;;
    dnf:parec) echo pulseaudio-utils ;;
    dnf:alsa-pulse) echo alsa-plugins-pulseaudio ;;
    dnf:jackd) echo jack-audio-connection-kit ;;
    dnf:jack) echo jack-audio-connection-kit-devel ;;
    dnf:aubioonset) echo aubio ;;
    pacman:cc) echo gcc ;;
    pacman:pkg-config) echo pkgconf ;;
    pacman:portaudio-2.0) echo portaudio ;;
    pacman:sndfile) echo libsndfile ;;
    pacman:samplerate) echo libsamplerate ;;
    pacman:ncursesw) echo ncurses ;;
    pacman:inih) echo libinih ;;
    pacman:sqlite3) echo sqlite ;;
    pacman:parec) echo libpulse ;;
    pacman:alsa-pulse) echo alsa-plugins ;;
    pacman:jackd | pacman:jack) echo jack2 ;;
    pacman:aubioonset) echo aubio ;;
    brew:portaudio-2.0) echo portaudio ;;
    brew:sndfile) echo libsndfile ;;
    brew:samplerate) echo libsamplerate ;;
    brew:ncursesw) echo ncurses ;;
    brew:inih) echo inih ;;
    brew:sqlite3) echo sqlite ;;
    *:cc) ;;
    *) echo "$2" ;;
    esac
}

clang_major() { clang --version 2>/dev/null | sed -n 's/.*version \([0-9]*\).*/\1/p;q'; }

# is_there NEED
is_there() {
    case $1 in
    cc | cmake | make | pkg-config | sox | tmux | valgrind | clang | pulseaudio | parec | jackd | aubioonset) have "$1" ;;
    sqlite3-shell) have sqlite3 ;;
    mlr | chromium | abc2midi) have "$1" ;;
    alsa-pulse) find / -xdev -name 'libasound_module_pcm_pulse.so' 2>/dev/null | grep -q . ;;
    clang-rt) printf 'int main(void){return 0;}\n' | clang -fsanitize=fuzzer-no-link,address -x c - -o /dev/null 2>/dev/null ;;
    *) have_library "$1" ;;
    esac
}

manager() {
    for one in apt-get:apt dnf:dnf pacman:pacman brew:brew; do
        if have "${one%%:*}"; then
            echo "${one##*:}"
            return
        fi
    done
}

# need NEED...: installs the missing ones; ends with a clear word if that cannot be done.
need() {
    missing=""
    for one in "$@"; do is_there "$one" || missing="$missing $one"; done
    [ -z "$missing" ] && return 0
    with=$(manager)
    if [ -z "$with" ]; then
        say "missing:$missing; and no package manager that is known here (apt, dnf, pacman, brew)"
        exit 3
    fi
    packages=""
    for one in $missing; do packages="$packages $(package_of "$with" "$one")"; done
    say "installing:$packages"
    # shellcheck disable=SC2086
    case $with in
    apt)
        as_root env DEBIAN_FRONTEND=noninteractive apt-get update -q >/dev/null </dev/null || true
        as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -q --no-install-recommends $packages >/dev/null </dev/null
        ;;
    dnf) as_root dnf install -y -q $packages >/dev/null </dev/null ;;
    pacman) as_root pacman -Sy --needed --noconfirm $packages >/dev/null </dev/null ;;
    brew) brew install $packages >/dev/null </dev/null ;;
    esac || say "the package manager reported a fault; going on to see what is there"
    for one in $missing; do
        is_there "$one" || {
            say "$one is still missing: install it by hand, then run this again"
            exit 3
        }
    done
}

cores() { getconf _NPROCESSORS_ONLN 2>/dev/null || echo 2; }
