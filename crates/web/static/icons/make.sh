#!/bin/sh
# Makes the pictures beside this file from icon.svg, by Debian's chromium.
set -eu
cd "$(dirname "$0")"
for side in 192 512; do
    page=$(mktemp --suffix=.html)
    printf '<style>*{margin:0}img{display:block;width:%spx;height:%spx}</style><img src="file://%s/icon.svg">' \
        "$side" "$side" "$(pwd)" >"$page"
    chromium --headless --no-sandbox --disable-gpu --hide-scrollbars --force-device-scale-factor=1 \
        --screenshot="icon-$side.png" --window-size="$side,$side" "file://$page" 2>/dev/null
    rm "$page"
done
