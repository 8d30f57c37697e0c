# Sourced by src/demo.sh and tests/run.sh: sees to it that a fresh Debian with the .NET 10 SDK has what HoopCheck needs.
# Sets ROOT, the folder of HoopCheck.sln.

ROOT="$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)"
export DOTNET_CLI_TELEMETRY_OPTOUT=1 DOTNET_NOLOGO=1

hoopcheck_stop() {
    printf '%s\n' "$@" >&2
    exit 70
}

if ! command -v dotnet >/dev/null 2>&1; then
    hoopcheck_stop "The command dotnet was not found." "Install the .NET 10 SDK and see that dotnet is on the PATH."
fi

# Without its own libraries (ICU above all) dotnet is there but ends at once.
hoopcheck_sdk="$(cd "$ROOT" && dotnet --version 2>&1)" ||
    hoopcheck_stop "The command dotnet does not start. It says:" "$(printf '%s\n' "$hoopcheck_sdk" | head -n 2)" \
        "Install the .NET 10 SDK with what it needs itself; on Debian: libicu, libssl3 and ca-certificates."
if [ "${hoopcheck_sdk%%.*}" != 10 ]; then
    hoopcheck_stop "The .NET SDK here is version ${hoopcheck_sdk:-unknown}; HoopCheck is built with version 10." "Install the .NET 10 SDK."
fi

# The prebuilt OpenCV library is linked against these two.
hoopcheck_has() {
    { ldconfig -p 2>/dev/null || /sbin/ldconfig -p 2>/dev/null; } | grep -q "$1"
}

hoopcheck_missing=""
hoopcheck_has 'libgtk-3\.so\.0' || hoopcheck_missing="libgtk-3-0"
hoopcheck_has 'libatomic\.so\.1' || hoopcheck_missing="${hoopcheck_missing:+$hoopcheck_missing }libatomic1"
if [ -n "$hoopcheck_missing" ]; then
    if ! command -v apt-get >/dev/null 2>&1; then
        hoopcheck_stop "Missing here: $hoopcheck_missing, and there is no apt-get to install it with." "Install the system's packages of GTK 3 and libatomic."
    fi

    hoopcheck_sudo=""
    if [ "$(id -u)" != 0 ]; then
        command -v sudo >/dev/null 2>&1 ||
            hoopcheck_stop "Missing here: $hoopcheck_missing, and only root may install it." "As root: apt-get install $hoopcheck_missing"
        hoopcheck_sudo="sudo"
    fi

    echo "Installing $hoopcheck_missing (OpenCV needs it) ..." >&2
    # shellcheck disable=SC2086
    { $hoopcheck_sudo apt-get update -qq &&
        $hoopcheck_sudo env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends $hoopcheck_missing; } >&2 ||
        hoopcheck_stop "$hoopcheck_missing could not be installed; apt-get's own words stand above. Mostly the machine is offline." "Connect it and try again, or install by hand: apt-get install $hoopcheck_missing"
fi

# Fetches the packages first: a build without them says so in dozens of lines.
hoopcheck_fetch() {
    local log
    log="$(dotnet restore "$1" -v q -nologo 2>&1)" && return
    case $log in
        *NU1301*) hoopcheck_stop "The packages HoopCheck is built from could not be fetched: $(printf '%s\n' "$log" | grep -m 1 -o 'NU1301:.*' | sed 's/ *\[.*//')" \
            "See that this machine reaches the package source (by default nuget.org), and try again." ;;
        *) hoopcheck_stop "$log" "The packages HoopCheck is built from could not be fetched." "See the lines above." ;;
    esac
}
