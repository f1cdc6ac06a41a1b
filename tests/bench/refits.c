/*
 * Recommends from SPECIMENS.csv with 10,000 resamples of the batches, on as
 * many threads as told, and prints the limits of the fraction in all digits.
 *
 *   refits SPECIMENS.csv [THREADS]
 */
#include "advise/recommend.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

static void print_limits(const struct recommendation *answer)
{
    for (size_t i = 0; i < answer->n_candidates; i++)
        if (answer->candidates[i].interpolated && answer->candidates[i].feasible) {
            printf("%.17g %.17g %.17g\n", answer->candidates[i].aggregate_fraction, answer->candidates[i].fraction_lower,
                   answer->candidates[i].fraction_upper);
            return;
        }
}

int main(int argc, char **argv)
{
    if (argc < 2 || argc > 3) {
        fprintf(stderr, "usage: %s SPECIMENS.csv [THREADS]\n", argv[0]);
        return 2;
    }
    const char *const paths[] = { argv[1] };
    const struct specimen_set_settings settings = { 0 };
    struct specimen_set set;
    struct problem_list problems = { 0 };
    struct problem problem = { 0 };
    struct recommendation answer = { 0 };
    struct recommend_request request = {
        .selection = { .age_days = 28, .moisture = MOISTURE_AIR_DRY }, .law = LAW_AUTO, .n_targets = 1, .n_limits = 1,
        .targets = { { DEMAND_PROPERTY, PROPERTY_COMPRESSIVE_STRENGTH, 12 } },
        .limits = { { DEMAND_PROPERTY, PROPERTY_DENSITY, 1875 } },
        .assurance = { ASSURANCE_NEXT_BATCH, 0.95, 0.05, 3 }, .piece = PIECE_NONE,
        .seed = 1, .n_resamples = 10000, .n_threads = argc > 2 ? (unsigned)atoi(argv[2]) : 1,
    };
    enum status status = specimen_set_read(paths, 1, &settings, &set, &problems);
    if (status == STATUS_OK)
        status = recommend_search(&set, &request, &answer, &problem);
    if (status == STATUS_OK)
        print_limits(&answer);
    else
        fprintf(stderr, "%s\n", problem.text);
    recommendation_release(&answer);
    specimen_set_release(&set);
    problem_list_release(&problems);
    return status == STATUS_OK ? 0 : 1;
}
