# What the gate's scripts share: bare machines, steps with their times. Read by `.ci/run` and `.ci/long`.

cd "$(dirname "${BASH_SOURCE[0]}")/.."

if [ -n "${CI:-}" ]; then
    # On a build machine nothing is built twice, and what is kept for a second time only fills the disk.
    export CARGO_INCREMENTAL="${CARGO_INCREMENTAL:-0}"
fi
export CI="${CI:-true}"
export CARGO_TERM_COLOR="${CARGO_TERM_COLOR:-never}"
export RUST_BACKTRACE=1
# Snapshots are compared, never written.
export INSTA_UPDATE=no
# Terminals, colours and zones of the machine do not reach a test.
export TZ=UTC LC_ALL=C.UTF-8

RUST_LEAST=1.95
SUMMARY=()

say() {
    printf '%s\n' "$*" >&2
}

# step NAME COMMAND...: runs it and keeps how long it took. `set -e` does not reach into a function that runs as a
# condition, so functions that are steps say themselves where they end.
step() {
    local name=$1 began=$SECONDS took
    shift
    say "== $name"
    if ! "$@"; then
        say "== $name: FAILED after $((SECONDS - began)) s"
        exit 1
    fi
    took=$((SECONDS - began))
    SUMMARY+=("$(printf '%6d s  %s' "$took" "$name")")
    say "== $name: $took s"
}

summary() {
    printf '%s\n' "${SUMMARY[@]}" "$(printf '%6d s  in all' "$SECONDS")" >&2
}

# A C compiler for the SQLite that is built in, and a Rust that is new enough.
tools() {
    if ! command -v cc >/dev/null; then
        if [ "$(id -u)" != 0 ] || ! command -v apt-get >/dev/null; then
            say "No C compiler (cc) here. Install one, for instance gcc with the C library's headers; then run this again."
            return 1
        fi
        apt-get update -qq &&
            DEBIAN_FRONTEND=noninteractive apt-get install -y -qq gcc libc6-dev || return 1
    fi
    if ! command -v cargo >/dev/null; then
        say "No Rust here. Install a toolchain of $RUST_LEAST or newer, with rustfmt and clippy; then run this again."
        return 1
    fi
    local have
    have=$(rustc --version | cut -d' ' -f2)
    if [ "$(printf '%s\n%s\n' "$RUST_LEAST" "$have" | sort -V | head -n 1)" != "$RUST_LEAST" ]; then
        say "Rust $have is too old: $RUST_LEAST or newer is needed."
        return 1
    fi
    if ! cargo fmt --version >/dev/null 2>&1 || ! cargo clippy --version >/dev/null 2>&1; then
        rustup component add rustfmt clippy || return 1
    fi
    cargo --version
}

# The working tree as git sees it; nothing in a copy without git.
tree_state() {
    if git rev-parse --is-inside-work-tree >/dev/null 2>&1; then
        git status --porcelain
        git diff
    fi
}

# Fails when a step wrote into the working tree. In a clean copy this says that it is clean afterwards.
untouched() {
    if [ "$1" != "$(tree_state)" ]; then
        say "A step changed the working tree:"
        git status --porcelain >&2
        return 1
    fi
}
