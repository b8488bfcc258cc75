#!/bin/sh
# Cuts the sheets' letters down to what a page in a browser needs: the letters of Europe, figures, fractions, signs.
# Needs fonttools and brotli from PyPI. Inter is under the SIL Open Font License 1.1 (src/sheet/font/OFL.txt), and so is this.
set -eu
cd "$(dirname "$0")"
letters="U+20-7E,U+A0-17F,U+218-21B,U+300-304,U+308,U+30A-30C,U+327-328,U+384-3CE,U+400-45F,U+490-491,U+1E9E"
signs="U+2010-2015,U+2018-201E,U+2020-2022,U+2026,U+2030,U+2032-2033,U+2039-203A,U+2044,U+20AC,U+2116,U+2150-215E"
more="U+2190-2193,U+2212,U+2248,U+2260,U+2264-2265,U+25A1"
for weight in Regular Medium; do
    pyftsubset "../../sheet/font/Inter-$weight.otf" --unicodes="$letters,$signs,$more" --flavor=woff2 \
        --layout-features="kern,tnum,ccmp,mark,mkmk,locl" --desubroutinize \
        --output-file="Inter-$weight-European.woff2"
done
