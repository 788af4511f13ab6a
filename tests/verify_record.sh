#!/bin/sh
# Verifies a job's folder with stock tools alone: jq, ssh-keygen and sha256sum (and the shell).
#
#   verify_record.sh FOLDER [ROOT]
#
# ROOT is the fingerprint of the shop's root supervisor (SHA256:...), as the shop gave it to you by another way.
# Exit code 0: whole. 1: not whole, each fault on a line of its own. 2: it could not be tried.
#
# It checks what mathematics can: the chain, the numbers, who signed, for what and when, the hashes of content
# and attachments, the roster and the approval that were pinned, and the ledger's hashes. Roles, four eyes, bands and figures need
# the program's own `witnessmark verify`. src/record/FORMAT.md says what each of these proves.
set -u
LC_ALL=C TZ=UTC
export LC_ALL TZ

usage() { echo "usage: $0 FOLDER [ROOT-FINGERPRINT]" >&2; exit 2; }
[ $# -ge 1 ] && [ $# -le 2 ] && [ -d "$1" ] || usage
folder=$1 root=${2-}
for tool in jq ssh-keygen sha256sum; do
    command -v "$tool" > /dev/null || { echo "$tool is not installed" >&2; exit 2; }
done
work=$(mktemp -d) || exit 2
trap 'rm -rf "$work"' EXIT
: > "$work/faults"

fault() { echo "FAULT $*"; echo x >> "$work/faults"; }
note() { echo "note  $*"; }
hash_of() { sum=$(sha256sum); echo "${sum%% *}"; }

# Two rows for each line: n, prev, time in UTC, by, kind, job and signature (with | for its line ends), then the
# entry's text; or BAD and nothing when the line is not of its form.
fields='
def utc:
  capture("^(?<local>[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2})([.][0-9]{1,9})?(Z|(?<sign>[+-])(?<h>[0-9]{2}):(?<m>[0-9]{2}))$")
  | ((if .sign == null then 0 else (.h | tonumber) * 3600 + (.m | tonumber) * 60 end)
      * (if .sign == "-" then -1 else 1 end)) as $offset
  | (.local + "Z" | fromdateiso8601) - $offset | strftime("%Y%m%d%H%M%SZ");
def is($form): type == "string" and test("^" + $form + "$");
def row:
  fromjson as $line
  | $line | select(type == "object" and keys == ["entry", "sig", "signer"] and all(.[]; type == "string"))
  | select($line.entry | test("^[^\u0000-\u001f]*$"))
  | .entry | fromjson | select(type == "object" and .v == 1)
  | select((.n | type == "number" and . >= 0 and . == floor) and (.prev | is("[0-9a-f]{64}")))
  | select((.by | is("[a-z0-9._-]{1,64}")) and .by == $line.signer and (.kind | is("[a-z0-9-]{1,32}")))
  | select((has("job") | not) or (.job | is("[A-Za-z0-9][A-Za-z0-9._-]{0,63}")))
  | [(.n | tostring), .prev, (.at | utc), .by, .kind, (.job // "-"), ($line.sig | gsub("\n"; "|"))]
  | [join(" "), $line.entry];
[try row catch empty] | .[0] // ["BAD", ""] | .[]'

# A key that stands twice would let two readers see two things. Streaming sees every leaf, parsing only the last.
unrepeated() {
    seen=$(jq -n --stream '[inputs | select(length == 2)] | length' "$1" 2> /dev/null) &&
        kept=$(jq -s 'map([paths(type != "object" and type != "array" or length == 0)] | length) | add' "$1") &&
        [ "$seen" = "$kept" ]
}

# check_lines FILE NAMESPACE CHAINED: checks each line, and writes "hash n prev utc by kind job" to work/FILE
# and the entries to work/FILE.entries.
check_lines() {
    file=$1 purpose=$2 chained=$3
    : > "$work/$file"; : > "$work/$file.entries"
    [ -f "$folder/$file" ] || { fault "$file is missing"; return; }
    [ -z "$(tail -c 1 "$folder/$file")" ] || fault "$file: the last line was not written whole"
    jq -R -r "$fields" "$folder/$file" > "$work/rows" 2> /dev/null
    at=0 last=0000000000000000000000000000000000000000000000000000000000000000 due=0 latest=0
    while IFS= read -r line && read -r n prev utc by kind job sig <&3 && IFS= read -r entry <&3; do
        at=$((at + 1)) where="$file line $at:"
        hash=$(printf %s "$line" | hash_of)
        if [ "$n" = BAD ]; then
            fault "$where not a signed line whose signer is its author"
            last=$hash due=$((due + 1))
            continue
        fi
        if [ "$chained" = yes ]; then
            [ "$n" = "$due" ] || fault "$where its number is $n, $due was due"
            [ "$prev" = "$last" ] || fault "$where prev is not the hash of the line before"
        fi
        [ "${utc%Z}" -ge "$latest" ] && latest=${utc%Z} || note "$where its time $utc is before $latest"
        printf %s "$sig" | tr '|' '\n' > "$work/sig"
        printf %s "$entry" | ssh-keygen -Y verify -f "$folder/allowed_signers" -I "$by" -n "$purpose" \
            -s "$work/sig" -O verify-time="$utc" > "$work/said" 2>&1 ||
            fault "$where $by did not sign this for $purpose, or could not at $utc"
        echo "$hash $n $prev $utc $by $kind $job" >> "$work/$file"
        printf '%s\n' "$entry" >> "$work/$file.entries"
        last=$hash due=$((n + 1))
    done < "$folder/$file" 3< "$work/rows"
    [ "$at" -gt 0 ] || { fault "$file has no whole line"; return; }
    unrepeated "$folder/$file" && unrepeated "$work/$file.entries" || fault "$file: a key stands twice"
}

# allowed_signers: exact ids only. A pattern or an authority would let others sign.
check_signers() {
    [ -f "$folder/allowed_signers" ] || { fault "allowed_signers is missing"; : > "$work/signers"; return; }
    jq -R -r 'select(test("^(#|[ \t]*$)") | not)
        | if test("^[a-z0-9._-]{1,64} ([a-z-]+=\"[^\"*?!]*\"(,[a-z-]+=\"[^\"*?!]*\")* )?ssh-ed25519 [A-Za-z0-9+/]+=*$")
          then capture("^(?<id>[^ ]+) .*(?<key>ssh-ed25519 [^ ]+)$") | .id + " " + .key
          else "BAD " + . end' "$folder/allowed_signers" > "$work/signers"
    while read -r first rest; do
        [ "$first" != BAD ] || fault "allowed_signers: refused: $rest"
    done < "$work/signers"
}

# Every key of allowed_signers must be one that the roster gave to that id.
check_roster() {
    check_lines roster.jsonl shop-roster yes
    [ -s "$work/roster.jsonl.entries" ] || return
    first=$(jq -r -n 'input | .kind + " " + (.key // "-")' "$work/roster.jsonl.entries")
    case $first in
        "root ssh-ed25519 "*) ;;
        *) fault "roster.jsonl does not begin with its root"; return ;;
    esac
    echo "${first#root }" > "$work/root.pub"
    found=$(ssh-keygen -l -f "$work/root.pub" | cut -d ' ' -f 2)
    note "the shop's root is $found"
    [ -z "$root" ] || [ "$root" = "$found" ] || fault "roster.jsonl: the root is $found, not $root"
    jq -r 'select(.key) | (.person // .tablet // .id) + " " + .key' "$work/roster.jsonl.entries" > "$work/known"
    while read -r id key; do
        jq -R -n -e --arg want "$id $key" 'any(inputs; . == $want)' "$work/known" > /dev/null ||
            fault "allowed_signers: the roster gave this key to no $id: $key"
    done < "$work/signers"
    pinned=$(jq -r -n 'input | "\(.roster_lines) \(.roster_head)"' "$work/record.jsonl.entries" 2> /dev/null)
    line=0
    while read -r hash rest; do
        line=$((line + 1))
        [ "$line $hash" != "$pinned" ] || return
    done < "$work/roster.jsonl"
    fault "roster.jsonl: the roster that the record pinned (${pinned:-none}) is not part of it"
}

# The approval that entry 0 names: a line of approvals.jsonl, signed for just that purpose, of just these files, and
# not withdrawn by then. Records from before there were approvals name none.
check_approval() {
    jq -c -n 'input | select(.practice != true) | .approval // empty' "$work/record.jsonl.entries" > "$work/approval" 2> /dev/null
    if [ ! -s "$work/approval" ]; then
        [ ! -e "$folder/approvals.jsonl" ] || [ "$namespace" = practice-record ] ||
            fault "entry 0 names no approval, though there is an approvals.jsonl"
        note "the record names no approval of its content"
        return
    fi
    check_lines approvals.jsonl content-approval yes
    jq -r '"\(.n) \(.line) \(.content) \(.lines) \(.head)"' "$work/approval" > "$work/pin"
    read -r n line content lines head < "$work/pin"
    at=0 found=no last=-
    while read -r hash rest; do
        [ "$at $hash" != "$n $line" ] || found=yes
        at=$((at + 1))
        [ "$at" != "$lines" ] || last=$hash
    done < "$work/approvals.jsonl"
    [ "$found" = yes ] && [ "$last" = "$head" ] || fault "approvals.jsonl: the approval that entry 0 names is not part of it"
    jq -r -n 'input | .content[] | select(.path | startswith("register/") | not) | .sha256 + "  " + (.path | @text)' \
        "$work/record.jsonl.entries" | sort > "$work/manifest"
    used=$(hash_of < "$work/manifest")
    [ "$used" = "$content" ] || fault "approvals.jsonl: approved was $content, the files of entry 0 give $used"
    jq -n -e 'input | all(.content[].path; test("[\u0000-\u001f\u007f]") | not)' "$work/record.jsonl.entries" > /dev/null ||
        fault "entry 0: a path of its content holds a control character"
    jq -s -e --argjson n "$n" --argjson lines "$lines" --arg content "$content" --slurpfile record "$work/record.jsonl.entries" \
        '.[$n] as $it | $it.kind == "approve" and $it.content == $content
         and $it.authored == $record[0].authored and $it.revision == $record[0].revision
         and all(.[$n:$lines][]; .kind != "withdraw" or .authored != $it.authored or .content != $content)' \
        "$work/approvals.jsonl.entries" > /dev/null ||
        fault "approvals.jsonl: line $((n + 1)) does not approve this job's content, or it was withdrawn"
}

# Files are named by their hash; those that entry 0 lists must all be there.
check_files() {
    for file in "$folder"/content/* "$folder"/attachments/*; do
        [ -e "$file" ] || continue
        name=${file##*/}
        [ "$(hash_of < "$file")" = "${name%%.*}" ] || fault "${file#"$folder"/} is not what its name says"
    done
    jq -r -n 'input | .content[]? | .sha256 + " " + .path' "$work/record.jsonl.entries" > "$work/content" 2> /dev/null
    # A text that is exactly the name of an attachment names one that must be there.
    jq -r '.. | strings | select(test("^[0-9a-f]{64}[.][a-z0-9]{1,8}$"))' "$work/record.jsonl.entries" > "$work/named" 2> /dev/null
    while read -r name; do
        [ -f "$folder/attachments/$name" ] || fault "attachments/$name is missing"
    done < "$work/named"
    while read -r hash path; do
        [ -f "$folder/content/$hash.${path##*.}" ] || fault "content/$hash.${path##*.} ($path) is missing"
    done < "$work/content"
}

# The first and the last line of the record as the tablet's ledger knows them.
check_ledger() {
    # An open job's line may stand in the shop's own ledger alone.
    [ "$state" = closed ] || [ -f "$folder/ledger-extract.jsonl" ] || return
    read -r first rest < "$work/record.jsonl" || return
    while read -r hash rest; do final=$hash; done < "$work/record.jsonl"
    check_lines ledger-extract.jsonl shop-ledger no
    want='["opened"]'; [ "$state" != closed ] || want='["opened","closed"]'
    jq -s -e --argjson want "$want" --arg job "$number" --arg first "$first" --arg final "$final" --argjson entries "$count" \
        'map(.kind) == $want and all(.[]; .job == $job) and .[0].first_hash == $first
         and (length == 1 or (.[1].final_hash == $final and .[1].entries == $entries))' \
        "$work/ledger-extract.jsonl.entries" > /dev/null ||
        fault "ledger-extract.jsonl does not name this $state record of $count lines, from $first to $final"
}

namespace=$(jq -R -r -n 'input | fromjson | .entry | fromjson | if .practice == true then "practice-record" else "job-record" end' \
    "$folder/record.jsonl" 2> /dev/null)
check_signers
check_lines record.jsonl "${namespace:-job-record}" yes
count=0 number=- state=open
while read -r hash n prev utc by kind job; do
    [ "$state" = open ] || fault "record.jsonl: line $((count + 1)) stands after the closing"
    if [ "$count" = 0 ]; then
        number=$job
        [ "$kind" = opening ] || fault "record.jsonl does not begin with an opening"
    fi
    [ "$job" != - ] && [ "$job" = "$number" ] || fault "record.jsonl line $((count + 1)): its job is $job, not $number"
    [ "$kind" != closing ] || state=closed
    count=$((count + 1))
done < "$work/record.jsonl"
check_roster
check_files
check_approval
if [ "$namespace" = practice-record ]; then note "this is a practice run and proves no work"; else check_ledger; fi

if [ -s "$work/faults" ]; then
    echo "NOT WHOLE: job $number, $(jq -R -n '[inputs] | length' "$work/faults") faults"
    exit 1
fi
echo "WHOLE: job $number, $state, $count entries, signed for ${namespace:-job-record}"
