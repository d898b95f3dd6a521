#!/bin/sh
# Builds .venv for the Makefile, and installs the system programs that some checks need.
#
#   tools/setup.sh run      what a user needs
#   tools/setup.sh dev      that, and what the checks need
#   tools/setup.sh system   PostgreSQL, poppler-utils and Chromium, where apt-get may install them
#   tools/setup.sh both     dev and system, side by side
#
# A second run is quick: stamps in .venv are older than pyproject.toml or constraints.txt only after a change.
set -eu
cd "$(dirname "$0")/.."

venv=.venv
log=$venv/install.log

say() { printf 'ringtrue: %s\n' "$*"; }
stop() { say "$*" >&2; exit 1; }

may_apt() { [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null 2>&1; }

# apt_install PACKAGE...: quiet; the list of packages is fetched only when the install fails without it.
apt_install() {
    DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "$@" </dev/null >/dev/null 2>&1 && return
    apt-get update -qq </dev/null >/dev/null 2>&1 || return
    DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "$@" </dev/null >/dev/null 2>&1
}

# Prints the first Python that is new enough and can make a virtual environment.
find_python() {
    for python in ${PYTHON:-} python3 python3.14 python3.13 python3.12 python3.11; do
        if "$python" -c 'import sys, venv, ensurepip; sys.exit(sys.version_info < (3, 11))' >/dev/null 2>&1; then
            echo "$python"
            return
        fi
    done
    return 1
}

make_venv() {
    [ -x $venv/bin/python ] && $venv/bin/python -m pip --version >/dev/null 2>&1 && return
    if ! python=$(find_python) && may_apt; then
        say "installing python3 and python3-venv with apt-get"
        apt_install python3 python3-venv || true
    fi
    python=$(find_python) ||
        stop "Python 3.11 or newer with venv is needed: install python3 and python3-venv (Debian: apt-get install python3 python3-venv), or set PYTHON=/path/to/python3."
    say "making $venv with $("$python" --version 2>&1)"
    rm -rf $venv
    "$python" -m venv $venv
}

# install STAMP REQUIREMENT
install() {
    say "installing what is needed into $venv (a minute or so)"
    if ! $venv/bin/python -m pip install --disable-pip-version-check --no-input -c constraints.txt -e "$2" >$log 2>&1; then
        grep -v '^ *WARNING' $log | tail -n 15 >&2
        stop "pip could not install the project; the whole log is in $log."
    fi
    touch "$1"
}

# fresh STAMP: nothing that decides what is installed has changed since.
fresh() {
    [ -e "$1" ] && [ -x $venv/bin/python ] && [ ! pyproject.toml -nt "$1" ] && [ ! constraints.txt -nt "$1" ]
}

need_run() {
    fresh $venv/.dev && return
    fresh $venv/.run && return
    make_venv
    install $venv/.run .
}

need_dev() {
    fresh $venv/.dev && return
    make_venv
    install $venv/.dev '.[dev]'
}

has_postgres() {
    command -v initdb >/dev/null 2>&1 && return
    for initdb in /usr/lib/postgresql/*/bin/initdb; do [ -x "$initdb" ] && return; done
    return 1
}

need_postgres() {
    has_postgres && return
    if may_apt; then
        say "installing PostgreSQL with apt-get, for the tests of a shared record book"
        # The tests start a throw-away server of their own: keep Debian from setting one up that runs all the time.
        if [ ! -e /etc/postgresql-common ]; then
            mkdir -p /etc/postgresql-common
            echo 'create_main_cluster = false' >/etc/postgresql-common/createcluster.conf
        fi
        apt_install postgresql || true
    fi
    has_postgres || say "SKIPPED: no PostgreSQL server here, so the record book is tested on SQLite alone (Debian: apt-get install postgresql)"
}

need_poppler() {
    command -v pdftoppm >/dev/null 2>&1 && return
    if may_apt; then
        say "installing poppler-utils with apt-get, for the tests that look at printed sheets"
        apt_install poppler-utils || true
    fi
    command -v pdftoppm >/dev/null 2>&1 ||
        say "SKIPPED: no pdftoppm here, so printed sheets are not looked at as pictures (Debian: apt-get install poppler-utils)"
}

has_chromium() {
    for chromium in chromium chromium-browser google-chrome google-chrome-stable; do
        command -v $chromium >/dev/null 2>&1 && return
    done
    return 1
}

need_chromium() {
    has_chromium && return
    if may_apt; then
        say "installing Chromium with apt-get, for the tests of the pages in a browser"
        apt_install chromium || true
    fi
    has_chromium || say "SKIPPED: no Chromium here, so the pages are not opened in a browser (Debian: apt-get install chromium)"
}

need_system() {
    need_postgres
    need_poppler
    need_chromium
}

# .venv first: apt-get may have to bring Python, and only one apt-get can work at a time.
need_both() {
    fresh $venv/.dev || make_venv
    need_dev &
    dev=$!
    need_system
    wait $dev
}

case "${1:-}" in
    run) need_run ;;
    dev) need_dev ;;
    system) need_system ;;
    both) need_both ;;
    *) stop "say which: tools/setup.sh run | dev | system | both" ;;
esac
