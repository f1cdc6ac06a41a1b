#ifndef OUTPUT_CHART_DRAW_H
#define OUTPUT_CHART_DRAW_H

#include "output/chart.h"

/*
 * Draws the scripts of charts (they are in folder) in every format asked and
 * marks those of which every picture is whole. Of more than a few pictures two
 * gnuplots draw a half each. Only when one fails at a chart is another started
 * for those behind it. Pictures are drawn in private folders and take their
 * place whole.
 */
enum status chart_draw_all(struct chart_list *charts, unsigned formats, const char *folder, struct problem *problem);

#endif
