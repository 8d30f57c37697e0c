#!/usr/bin/env bash
# Sets everything up and checks one of the test pictures: bash src/demo.sh [FOLDER FOR THE PICTURES]
set -eu
. "$(dirname "${BASH_SOURCE[0]}")/setup.sh"

out="${1:-$ROOT/out/demo}"
mkdir -p "$out"
echo "Building ..." >&2
hoopcheck_fetch "$ROOT/src/HoopCheck.App"
if ! log="$(dotnet build "$ROOT/src/HoopCheck.App" -c Release --no-restore -v q -nologo 2>&1)"; then
    hoopcheck_stop "$log" "HoopCheck could not be built." "See the lines above."
fi

set +e
dotnet run --project "$ROOT/src/HoopCheck.App" -c Release --no-build -- check \
    "$ROOT/testimages/measured/plaid-two-blue-tapes-turned-exif-200x300.jpg" \
    --hoop "$ROOT/testimages/hoops/200x300.toml" \
    --fill 114.8x250.1 --fill-at=34.7,-4.8 --out "$out"
verdict=$?
set -e

# 0, 2 and 3 are verdicts; anything else is a failure of the demonstration.
case $verdict in
    0 | 2 | 3) echo; echo "Pictures: $out" ;;
    *) exit "$verdict" ;;
esac
