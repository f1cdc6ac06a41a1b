#include "output/answer.h"
#include "output/recommend_tables.h"
#include "output/table.h"
#include "output/words.h"

#include <stdio.h>

#define PAGE_WIDTH 96
#define REASONS_SHOWN 8

static void add_reasons(const struct specimen_set *set, const struct recommendation *answer, struct text *out)
{
    size_t shown = 0, all = 0;
    for (size_t i = 0; i < answer->n_candidates; i++) {
        const struct candidate *candidate = &answer->candidates[i];
        all += candidate->why_not[0] != '\0';
        if (!candidate->why_not[0] || shown == REASONS_SHOWN)
            continue;
        if (shown++ == 0)
            text_add(out, "\nWhy the others do not come first\n");
        char recipe[WORDS_MAX];
        struct text line = { 0 };
        words_recipe(set, candidate, recipe);
        text_addf(&line, "%zu %s: %s", i + 1, recipe, candidate->why_not);
        text_add(out, "  ");
        table_wrap(out, line.bytes ? line.bytes : "", 4, PAGE_WIDTH);
        out->failed |= line.failed;
        text_release(&line);
    }
    if (all > shown)
        text_addf(out, "  ... and %zu more: --json gives every reason\n", all - shown);
}

static void add_cautions(const struct recommendation *answer, struct text *out)
{
    size_t n = answer->found ? answer->candidates[answer->winner].n_cautions : 0;
    if (n + answer->notices.n_items == 0)
        return;
    text_add(out, "\nKeep in mind\n");
    for (size_t i = 0; i < n; i++) {
        text_add(out, "  - ");
        table_wrap(out, answer->candidates[answer->winner].cautions[i], 4, PAGE_WIDTH);
    }
    for (size_t i = 0; i < answer->notices.n_items; i++) {
        char sentence[1024];
        problem_sentence(&answer->notices.items[i], sentence, sizeof sentence);
        text_add(out, "  - ");
        table_wrap(out, sentence, 4, PAGE_WIDTH);
    }
}

static void add_holds_for(const struct specimen_set *set, const struct recommend_request *request,
                          const struct recommendation *answer, bool us, struct text *out)
{
    struct text line = { 0 };
    text_add(&line, "The numbers hold for what was tested: ");
    recommendation_holds_for(set, request, answer, us, &line);
    text_add(&line, ".");
    text_add(out, "\n");
    table_wrap(out, line.bytes ? line.bytes : "", 0, PAGE_WIDTH);
    out->failed |= line.failed;
    text_release(&line);
}

static void add_cost(const struct specimen_set *set, const struct recommend_request *request,
                     const struct recommendation *answer, bool us, struct text *out)
{
    char words[WORDS_MAX];
    recommend_cost_words(set, request, answer, us, words, sizeof words);
    if (!words[0])
        return;
    text_add(out, "\nWhat it costs\n  ");
    table_wrap(out, words, 2, PAGE_WIDTH);
}

enum status answer_recommend_table(const struct specimen_set *set, const struct recommend_request *request,
                                   const struct recommendation *answer, bool us, struct text *out)
{
    char sentence[2048], meaning[WORDS_MAX];
    if (recommendation_sentence(set, request, answer, us, sentence, sizeof sentence) != STATUS_OK)
        return STATUS_MEMORY;
    table_wrap(out, sentence, 0, PAGE_WIDTH);
    add_holds_for(set, request, answer, us, out);

    struct table table = { 0 };
    recommend_candidates_table(set, request, answer, us, &table);
    words_basis(set, request, answer, meaning);
    snprintf(sentence, sizeof sentence, "Candidates, best first, then those that fail, nearest to meeting first (assured: %s)", meaning);
    text_add(out, "\n");
    table_wrap(out, sentence, 0, PAGE_WIDTH);
    table_show(&table, out);
    table_release(&table);
    add_reasons(set, answer, out);

    if (answer->found) {
        recommend_demands_table(answer, us, &table);
        text_add(out, "\nThe recommended recipe against each demand\n");
        table_show(&table, out);
        table_release(&table);
    }
    if (recommend_laws_table(request, answer, us, &table)) {
        text_add(out, "\nWhat each law says of this recipe\n");
        table_show(&table, out);
    }
    table_release(&table);
    if (recommend_sensitivity_table(set, request, answer, us, &table)) {
        text_addf(out, "\nHow the answer moves with the %s\n", request->n_targets > 0 ? "target" : "limit");
        table_show(&table, out);
    }
    table_release(&table);
    if (recommend_front_table(set, answer, us, &table)) {
        text_addf(out, "\nOf the recipes that meet the demands, none of these is beaten in density%s at once\n", recommend_front_words(answer));
        table_show(&table, out);
    }
    table_release(&table);
    add_cost(set, request, answer, us, out);
    add_cautions(answer, out);
    return out->failed ? STATUS_MEMORY : STATUS_OK;
}
