/* Any bytes as a study file, settled as every command settles it, with its demands read. */
#include "fuzz.h"

#include "commands/study.h"

#include <string.h>

static void settle(const struct option_group *groups, char **argv)
{
    struct run run = {.argc = 2, .argv = argv};
    struct study study = {0};
    struct recommend_request request;
    char sentence[1024];
    enum status status = study_settle_options_alone(&run, groups, &study);
    if (status == STATUS_OK)
        status = study_make_request(&run, &study, &request);
    PROMISE((status == STATUS_OK) == (run.problems.n_errors == 0));
    for (size_t i = 0; i < run.problems.n_items; i++) {
        problem_sentence(&run.problems.items[i], sentence, sizeof sentence);
        PROMISE(sentence[0] && text_is_utf8(sentence, strlen(sentence), &(size_t){0}));
    }
    study_release(&study);
    text_release(&run.out);
    problem_list_release(&run.problems);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static const struct option_group *const groups[] = {recommend_groups, batch_groups, plan_groups, chart_groups};
    struct fuzz_file file = fuzz_file_open(data, size);
    settle(groups[size % (sizeof groups / sizeof groups[0])], (char *[]){"--study", file.path, NULL});
    fuzz_file_close(&file);
    return 0;
}
