#!/usr/bin/env bash
# Sets everything up and runs all tests: bash tests/run.sh [arguments for dotnet test]
# The last line reads "N passed, N failed"; the exit code is 0 only when tests ran and none failed.
set -eu
trap 'echo "0 passed, 1 failed"' EXIT
. "$(dirname "${BASH_SOURCE[0]}")/../src/setup.sh"

hoopcheck_fetch "$ROOT/tests/HoopCheck.Tests"
results="$(mktemp -d)"
trap 'rm -rf "$results"' EXIT

set +e
dotnet test "$ROOT/tests/HoopCheck.Tests" -c Release -nologo --no-restore --results-directory "$results" --logger "trx;LogFileName=tests.trx" "$@"
code=$?
set -e

# Counted from the result file: the console's words change with the tool's version and language.
passed=0
failed=0
if [ -f "$results/tests.trx" ]; then
    passed="$(grep -o '<UnitTestResult [^>]*outcome="Passed"' "$results/tests.trx" | wc -l)"
    failed="$(grep -o '<UnitTestResult [^>]*outcome="[A-Za-z]*"' "$results/tests.trx" | grep -Ecv 'outcome="(Passed|NotExecuted)"' || true)"
fi

if [ "$code" -ne 0 ] && [ "$failed" -eq 0 ]; then
    echo "The tests could not be built or run to their end (dotnet test: exit code $code)." >&2
    failed=1
fi

echo "$((passed)) passed, $((failed)) failed"
[ "$code" -eq 0 ] && [ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]
