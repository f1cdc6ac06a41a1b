# The look of every chart. Each script carries a copy, so that it runs by itself.
# Before this: NAME (file stem), WIDTH and HEIGHT (pixels).
# FORMAT may be 'svg' (default), 'png', 'pdf' or 'txt'; FOLDER, with its slash, says where the
# picture goes, else it lands beside the script.
set encoding utf8
KIND = exists("FORMAT") ? FORMAT : 'svg'
PLACE = ''
if (exists("FOLDER")) { PLACE = FOLDER } else {
    do for [AT = 1:strlen(ARG0)] { if (ARG0[AT:AT] eq '/') { PLACE = ARG0[1:AT] } }
}
if (KIND eq 'png') {
    set terminal pngcairo noenhanced size 2 * WIDTH, 2 * HEIGHT fontscale 1.5 linewidth 2 pointscale 2 \
        background rgb '#ffffff' font "DejaVu Sans,Liberation Sans,sans-serif,14"
}
if (KIND eq 'pdf') {
    set terminal pdfcairo noenhanced size WIDTH / 96.0, HEIGHT / 96.0 fontscale 0.75 linewidth 0.75 pointscale 0.75 \
        background rgb '#ffffff' font "DejaVu Sans,Liberation Sans,sans-serif,14"
}
if (KIND eq 'txt') {
    # Characters of 7 x 19 pixels; COLOURS may be 'ansi256'.
    set terminal dumb nofeed noenhanced size WIDTH / 7 + 1, HEIGHT / 19 + 1 mono
    if (exists("COLOURS")) { set terminal dumb nofeed ansi256 }
}
if (KIND ne 'png' && KIND ne 'pdf' && KIND ne 'txt') {
    KIND = 'svg'
    set terminal svg noenhanced size WIDTH, HEIGHT background rgb '#ffffff' \
        font "DejaVu Sans,Liberation Sans,sans-serif,14"
}
set output PLACE . NAME . '.' . KIND

# Ink on white paper: text, quiet text, axes, rules.
set border 3 linecolor rgb '#8b9096' linewidth 1
set tics nomirror out scale 0.6 textcolor rgb '#3c4045'
set grid linetype 1 linecolor rgb '#e6e8eb' linewidth 1, linetype 1 linecolor rgb '#e6e8eb' linewidth 1
set style fill solid 1.0 noborder
unset key
unset title

# Six colours of our own, far apart under protan, deutan and tritan vision (simulated after
# Machado, Oliveira and Fernandes 2009) and each with its shape: slate, brick, sea, plum, ochre, violet.
set style line 1 linecolor rgb '#1b4b82' pointtype 7 linewidth 2.2
set style line 2 linecolor rgb '#bf4f33' pointtype 9 linewidth 2.2
set style line 3 linecolor rgb '#4a9a96' pointtype 5 linewidth 2.2
set style line 4 linecolor rgb '#5e1640' pointtype 13 linewidth 2.2
set style line 5 linecolor rgb '#bd9109' pointtype 11 linewidth 2.2
set style line 6 linecolor rgb '#8f4fd6' pointtype 15 linewidth 2.2
# Their tints, for bands of confidence.
set style line 11 linecolor rgb '#dbe3ee'
set style line 12 linecolor rgb '#f5e1dc'
set style line 13 linecolor rgb '#dfeeed'
set style line 14 linecolor rgb '#e6dae2'
set style line 15 linecolor rgb '#f4ecd4'
set style line 16 linecolor rgb '#ebe0f8'
# Their hollow marks, for what fails.
set style line 31 linecolor rgb '#1b4b82' pointtype 6 linewidth 1.3
set style line 32 linecolor rgb '#bf4f33' pointtype 8 linewidth 1.3
set style line 33 linecolor rgb '#4a9a96' pointtype 4 linewidth 1.3
set style line 34 linecolor rgb '#5e1640' pointtype 12 linewidth 1.3
set style line 35 linecolor rgb '#bd9109' pointtype 10 linewidth 1.3
set style line 36 linecolor rgb '#8f4fd6' pointtype 14 linewidth 1.3
# Paper under hollow marks, so that their interval does not run through them.
set style line 41 linecolor rgb '#ffffff' pointtype 7 linewidth 1.3
set style line 42 linecolor rgb '#ffffff' pointtype 9 linewidth 1.3
set style line 43 linecolor rgb '#ffffff' pointtype 5 linewidth 1.3
set style line 44 linecolor rgb '#ffffff' pointtype 13 linewidth 1.3
set style line 45 linecolor rgb '#ffffff' pointtype 11 linewidth 1.3
set style line 46 linecolor rgb '#ffffff' pointtype 15 linewidth 1.3
# Demands, the recommended recipe, the trade-off front, guides.
set style line 29 linecolor rgb '#26282b' linewidth 1.4 dashtype solid
set style line 21 linecolor rgb '#26282b' linewidth 2 pointtype 6 pointsize 2
set style line 28 linecolor rgb '#d3d7db' linewidth 4
set style line 23 linecolor rgb '#e6e8eb' linewidth 1
# Marks: full ones, hollow ones, paper under those, the ring; on a terminal they are characters, and there is no grid.
MARK1 = 7; MARK2 = 9; MARK3 = 5; MARK4 = 13; MARK5 = 11; MARK6 = 15
OPEN1 = 6; OPEN2 = 8; OPEN3 = 4; OPEN4 = 12; OPEN5 = 10; OPEN6 = 14; RING = 6; CROSS = 1
NOWHERE = -1e99 # outside every axis; a plot of nothing but NaN brings a terminal of characters down
if (KIND eq 'txt') {
    MARK1 = "●"; MARK2 = "▲"; MARK3 = "■"; MARK4 = "◆"; MARK5 = "▼"; MARK6 = "⬟"
    OPEN1 = "○"; OPEN2 = "△"; OPEN3 = "□"; OPEN4 = "◇"; OPEN5 = "▽"; OPEN6 = "⬠"; RING = "◎"; CROSS = "×"
    set grid noxtics noytics
    set style line 23 linecolor rgb '#8b9096' # seen on dark and on light
    set style line 28 linecolor rgb '#8b9096'
}
set multiplot
