#!/bin/sh
# Fuzzes one target, led by coverage, with stable Rust and a C++ compiler alone; `cargo fuzz` is not needed.
#
#     sh tests/fuzz/run.sh TARGET [libFuzzer's options, as -max_total_time=600]
#
# What is built, learned and found stays in WITNESSMARK_FUZZ_FOLDER (target/fuzz): build/, TARGET/corpus/, TARGET/found/.
set -eu
target=$1
shift
cd "$(dirname "$0")/../.."
folder=${WITNESSMARK_FUZZ_FOLDER:-target/fuzz}
mkdir -p "$folder/$target/corpus" "$folder/$target/found"
folder=$(cd "$folder" && pwd)
host=$(rustc -vV | sed -n 's/^host: //p')
# The compiler itself counts which edges are taken and what is compared with what. With a host named, the build scripts
# are left as they are.
counts="-Cpasses=sancov-module -Cllvm-args=-sanitizer-coverage-level=4"
counts="$counts -Cllvm-args=-sanitizer-coverage-inline-8bit-counters -Cllvm-args=-sanitizer-coverage-pc-table"
RUSTFLAGS="$counts -Cllvm-args=-sanitizer-coverage-trace-compares -Cdebug-assertions=yes" \
  cargo build --release --manifest-path tests/fuzz/Cargo.toml --target "$host" --target-dir "$folder/build" --bin "$target"
# Whole inputs to begin with; what libFuzzer learns stands beside them.
[ -d "$folder/seeds/$target" ] || WITNESSMARK_SEEDS=$folder/seeds \
  cargo test --no-default-features --features certificate --test rooms -- fuzz::write_seeds --ignored
exec "$folder/build/$host/release/$target" "$folder/$target/corpus" "$folder/seeds/$target" \
  -max_len=65536 -timeout=5 -artifact_prefix="$folder/$target/found/" "$@"
