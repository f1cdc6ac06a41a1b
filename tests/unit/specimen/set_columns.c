/* Columns of specimen files, one at a time: which of them measure, and what says that there is no word. */
#include "set_reading.h"
#include "support/check.h"

/* A file that measures one thing only is a file of specimens, whatever that is; one that measures nothing is not. */
static void what_measures(void)
{
    for (size_t i = 0; i < n_specimen_rules; i++) {
        const struct column_rule *rule = &specimen_rules[i];
        bool measures = (rule->units && !rule->unit_optional) || strcmp(rule->name, "result") == 0;
        char text[200];
        snprintf(text, sizeof text, "specimen_no,%s%s%s%s\n1,1\n", rule->name, rule->units ? " [" : "",
                 rule->units ? rule->units[0].symbol : "", rule->units ? "]" : "");
        struct reading reading = read_text(text);
        bool refused = false;
        for (size_t k = 0; k < reading.problems.n_items; k++)
            refused |= strstr(reading.problems.items[k].text, "no column measures anything") != NULL;
        if (refused == measures)
            fprintf(stderr, "'%s' measures: %d\n", rule->name, measures);
        CU_ASSERT_EQUAL(refused, !measures);
        end(&reading);
    }
}

static void missing_words(void)
{
    static const char *const missing[] = { "", "-", "?", "NA", "na", "n/a", "N/A" };
    for (size_t i = 0; i < sizeof missing / sizeof *missing; i++) {
        char text[200];
        const char *word = missing[i];
        snprintf(text, sizeof text, "specimen,shape,loading,moisture,result,density_kg_m3\nA,%s,%s,%s,%s,1400\n", word, word, word, word);
        struct reading reading = read_text(text);
        CU_ASSERT_EQUAL(reading.status, STATUS_OK);
        CU_ASSERT_EQUAL(reading.problems.n_items, 0);
        CU_ASSERT(reading.set.n == 1 && specimen_set_moisture(&reading.set, 0) == MOISTURE_UNKNOWN && !reading.set.result);
        end(&reading);
    }
}

static void let_go(void)
{
    struct reading reading = read_text("specimen,density_kg_m3\nA,1400\n");
    CU_ASSERT_EQUAL(reading.set.n, 1);
    specimen_set_release(&reading.set);
    CU_ASSERT(reading.set.n == 0 && reading.set.n_mixes == 0 && reading.set.n_paths == 0 && !reading.set.store && !reading.set.batch);
    end(&reading);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "what measures", what_measures }, { "words left out", missing_words }, { "let go", let_go },
    };
    if (!temporary_start())
        return 2;
    int result = check_run("set columns", cases, sizeof cases / sizeof *cases);
    temporary_end();
    return result;
}
