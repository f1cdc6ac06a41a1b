/*
 * Factors and quantiles of the libraries for the crosscheck: one request a
 * line on standard input, its value on standard output.
 *   tolerance N DF CONTENT CONFIDENCE
 *   range TAIL_AT MEANS DF | range-quantile PROBABILITY MEANS DF
 *   shapiro VALUE...   (W and p)
 */
#include "stats/distribution.h"
#include "stats/normality.h"
#include "stats/tolerance.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { VALUES_MAX = 1000 };

static size_t read_values(char *text, double *values)
{
    size_t n = 0;
    for (char *end; n < VALUES_MAX; text = end) {
        values[n] = strtod(text, &end);
        if (end == text)
            break;
        n++;
    }
    return n;
}

static void answer(char *line)
{
    static double v[VALUES_MAX];
    char *arguments = strchr(line, ' ');
    if (!arguments)
        return;
    *arguments++ = '\0';
    size_t n = read_values(arguments, v);
    struct normality normality;
    if (strcmp(line, "tolerance") == 0)
        printf("%.17g\n", tolerance_factor(v[0], v[1], v[2], v[3]));
    else if (strcmp(line, "range") == 0)
        printf("%.17g\n", studentized_range_tail(v[0], v[1], v[2]));
    else if (strcmp(line, "range-quantile") == 0)
        printf("%.17g\n", studentized_range_quantile(v[0], v[1], v[2]));
    else if (strcmp(line, "shapiro") == 0 && normality_shapiro_wilk(v, n, &normality) == STATUS_OK)
        printf("%.17g %.17g\n", normality.w, normality.p);
    else
        printf("nan\n");
}

int main(void)
{
    static char line[32 * VALUES_MAX];
    while (fgets(line, sizeof line, stdin))
        answer(line);
    return 0;
}
