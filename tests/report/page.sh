#!/bin/sh
# The pages in headless Chromium, which reads HTML on its own terms: what it finds on them, whether hostile
# titles change the tree of elements, how wide they are on a telephone, how many sheets they print on.
# usage: page.sh MAKE_PAGE
set -eu
make_page=$1
browser=
for name in chromium chromium-browser google-chrome; do
    if command -v "$name" >/dev/null 2>&1; then
        browser=$name
        break
    fi
done
if [ -z "$browser" ]; then
    echo "SKIPPED: no Chromium here, so no page was looked at in a browser (Debian: apt-get install chromium)"
    exit 77
fi
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
failed=0

fail() {
    echo "FAILED: $*"
    failed=1
}

# browse OPTIONS...: Chromium with a profile of its own, and without what it says to itself.
browse() {
    timeout 40 "$browser" --headless --no-sandbox --disable-gpu --no-first-run --disable-extensions \
        --disable-background-networking --user-data-dir="$work/profile" "$@" 2>"$work/chatter"
}

# What is measured is written into the wrapper's own body; the pages themselves run no script.
wrap() {
    printf '<!DOCTYPE html><meta charset="utf-8"><title>wrapper</title><body>'
    for scene in $scenes; do
        for width in 320 360 768 1400; do
            printf '<iframe name="%s" width="%s" height="600" src="%s.html"></iframe>' "$scene" "$width" "$scene"
        done
    done
    cat <<'END'
<pre id="said"></pre>
<script>
function tree(element) {
  const names = Array.from(element.attributes, a => a.name).sort().join(",");
  return element.localName + "[" + names + "]" + (element.children.length
    ? "(" + Array.from(element.children, tree).join(" ") + ")" : "");
}
addEventListener("load", () => {
  const said = [];
  for (const frame of document.querySelectorAll("iframe")) {
    const page = frame.contentDocument, root = page.documentElement;
    page.querySelectorAll("details").forEach(one => { one.open = true; });
    const name = frame.name + " " + frame.width;
    said.push(name + " width " + (root.scrollWidth <= frame.width ? "fits" : root.scrollWidth));
    if (frame.width == 360) {
      const small = Array.from(page.querySelectorAll("svg text")).filter(text => {
        const svg = text.closest("svg"), scale = svg.getBoundingClientRect().width / svg.viewBox.baseVal.width;
        return parseFloat(frame.contentWindow.getComputedStyle(text).fontSize) * scale < 7.5;
      }).length;
      said.push(name + " small " + small);
      const out = Array.from(page.querySelectorAll("svg text")).filter(text => {
        const box = text.getBoundingClientRect();
        return text.textContent && (box.left < 0 || box.right > frame.width);
      }).map(text => text.textContent).join("|");
      said.push(name + " out " + (out || "none"));
      said.push(name + " scripts " + page.scripts.length);
    }
    if (frame.width == 360 && /^random/.test(frame.name))
      said.push("tree " + tree(root));
  }
  document.getElementById("said").textContent = said.join("\n");
});
</script>
END
}

scenes="climb sessions25 band long hostile pass empty studio random0 random1 random2 random3"
for scene in $scenes; do
    "$make_page" "$scene" >"$work/$scene.html"
done
wrap >"$work/wrapper.html"
browse --allow-file-access-from-files --virtual-time-budget=8000 --dump-dom "file://$work/wrapper.html" |
    sed -n '/<pre id="said">/,/<\/pre>/p' | sed 's/.*<pre id="said">//; s/<\/pre>.*//' >"$work/said"

for scene in $scenes; do
    for width in 320 360 768 1400; do
        grep -qx "$scene $width width fits" "$work/said" ||
            fail "$scene at $width px: $(grep "^$scene $width width" "$work/said" || echo 'was not measured')"
    done
    grep -qx "$scene 360 small 0" "$work/said" || fail "$scene: letters of a drawing are too small at 360 px"
    grep -qx "$scene 360 out none" "$work/said" ||
        fail "$scene: letters of a drawing lie outside: $(grep "^$scene 360 out" "$work/said")"
    grep -qx "$scene 360 scripts 0" "$work/said" || fail "$scene: a script is on the page"
done
if [ "$(grep -c '^tree html' "$work/said")" != 4 ] || [ "$(grep '^tree ' "$work/said" | sort -u | wc -l)" != 1 ]; then
    fail "random titles change the tree of elements"
fi

# What a reader finds: names, sentences, tables.
browse --dump-dom "file://$work/climb.html" >"$work/dom"
for text in 'The run before letter D' 'target quarter = 132' 'Secure at ' 'Session by session' 'Where it breaks' \
    '<th scope="row">' 'Made on 25 November 2026'; do
    grep -qF "$text" "$work/dom" || fail "climb: the browser does not show: $text"
done

# sheets SCENE SIZE: on how many sheets of paper it prints.
sheets() {
    sed "s/@page{/@page{size:$2;/" "$work/$1.html" >"$work/print.html"
    browse --no-pdf-header-footer --print-to-pdf="$work/print.pdf" "file://$work/print.html" >/dev/null
    grep -ac '/Type /Page$' "$work/print.pdf" || true
}
for size in A4 letter; do
    for scene in climb sessions25 long; do
        count=$(sheets "$scene" "$size")
        [ "$count" = 1 ] || fail "$scene prints on $count sheets of $size, not on one"
    done
done
[ "$(sheets band A4)" = 9 ] || fail "eight passages and their overview do not print on nine sheets"

[ "$failed" = 0 ] && echo "the pages were looked at in $browser"
exit "$failed"
