#include "support/check.h"
#include "support/temporary.h"

#include "base/memory.h"
#include "ingest/numbers.h"

static enum status read_two(const char *text, const char *label, struct number_table *table, struct problem_list *problems)
{
    const char *const headings[] = { "heat (J)", "x_1" };
    return number_table_read(temporary_text("in.csv", text), headings, 2, label, table, problems);
}

static void values_as_written(void)
{
    struct number_table table;
    struct problem_list problems = { 0 };
    CU_ASSERT_EQUAL(read_two("x 1,batch,Heat (J),note\n1,A,78.5,a\n\n2.5,B,-3e2,b\n", "BATCH", &table, &problems), STATUS_OK);
    CU_ASSERT_EQUAL(table.n_rows, 2);
    CU_ASSERT_EQUAL(table.n_columns, 2);
    check_close("heat", table.values[0], 78.5, 0);
    check_close("x", table.values[1], 1, 0);
    check_close("heat", table.values[2], -300, 0);
    check_close("x", table.values[3], 2.5, 0);
    check_text(table.labels[1], "B");
    CU_ASSERT_EQUAL(table.line[0], 2);
    CU_ASSERT_EQUAL(table.line[1], 4);
    CU_ASSERT_EQUAL(problems.n_items, 0);
    number_table_release(&table);
    CU_ASSERT_PTR_NULL(table.values);
}

static void check_refused(const char *text, const char *place, const char *word)
{
    struct number_table table;
    struct problem_list problems = { 0 };
    CU_ASSERT_EQUAL(read_two(text, NULL, &table, &problems), STATUS_INPUT);
    SAYS(&problems, SEVERITY_ERROR, place, word);
    CU_ASSERT_PTR_NULL(table.values);
    number_table_release(&table);
    problem_list_release(&problems);
}

static void refusals(void)
{
    check_refused("x_1,heet (J)\n1,2\n", "in.csv:1:", "did you mean 'heet (J)'");
    check_refused("x_1,cost\n1,2\n", "in.csv:1:", "the headings are 'x_1', 'cost'");
    check_refused("x_1,heat (J),X 1\n1,2,3\n", "column 'x_1'", "columns 1 and 3");
    check_refused("x_1,heat (J)\n1,\n", "in.csv:2: column 'heat (J)'", "empty");
    check_refused("x_1,heat (J)\n1,NA\n", "in.csv:2: column 'heat (J)'", "empty");
    check_refused("x_1,heat (J)\n1,2\n3,4m\n", "in.csv:3: column 'heat (J)'", "'4m'");
    check_refused("x_1,heat (J)\n\"1\n2\",3\n", "in.csv:2:", "line break");
    check_refused("x_1,heat (J)\n1\n", "in.csv:2:", "has 1 cell");
}

static void all_problems_at_once(void)
{
    struct number_table table;
    struct problem_list problems = { 0 };
    read_two("x_1,heat (J)\na,b\n1,2\n,3\n", NULL, &table, &problems);
    CU_ASSERT_EQUAL(problems.n_errors, 3);
    problem_list_release(&problems);
}

static void memory_failures(void)
{
    for (unsigned long n = 1; n < 40; n++) {
        struct number_table table;
        struct problem_list problems = { 0 };
        memory_fail_at(n, true);
        enum status status = read_two("x_1,batch,heat (J)\n1,A,2\n", "batch", &table, &problems);
        bool reached = memory_calls() >= n;
        memory_fail_at(0, false);
        CU_ASSERT_EQUAL(status, reached ? STATUS_MEMORY : STATUS_OK);
        number_table_release(&table);
        problem_list_release(&problems);
    }
}

int main(void)
{
    static const struct check_case cases[] = {
        { "values as written", values_as_written },
        { "refusals", refusals },
        { "all problems at once", all_problems_at_once },
        { "memory failures", memory_failures },
    };
    if (!temporary_start())
        return 2;
    int result = check_run("numbers", cases, sizeof cases / sizeof cases[0]);
    temporary_end();
    return result;
}
