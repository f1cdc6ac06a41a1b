#include "support/check.h"

#include "base/memory.h"
#include "base/text.h"

static void additions(void)
{
    struct text text = { 0 };
    text_add(&text, "mass ");
    text_addf(&text, "%d %s", 12, "g");
    text_add_bytes(&text, "xyz", 1);
    check_text(text.bytes, "mass 12 gx");
    CU_ASSERT_EQUAL(text.length, 10);
    text_clear(&text);
    check_text(text.bytes, "");
    text_release(&text);
    CU_ASSERT_PTR_NULL(text.bytes);
}

/* Formatted texts of every length around the room that is left, and one that finds no memory: what was there stays. */
static void formatted_lengths(void)
{
    char want[600];
    for (int before = 0; before < 70; before++)
        for (int more = 0; more < 140; more++) {
            struct text text = { 0 };
            text_addf(&text, "%*s", before, "<");
            text_addf(&text, "%*s", more, "|>");
            snprintf(want, sizeof want, "%*s%*s", before, "<", more, "|>");
            CU_ASSERT_EQUAL(text.length, strlen(want));
            CU_ASSERT_EQUAL(strcmp(text.bytes, want), 0);
            size_t length = text.length;
            memory_fail_at(1, true);
            text_addf(&text, "%300d", 1);
            memory_fail_at(0, false);
            CU_ASSERT_TRUE(text.failed);
            CU_ASSERT_EQUAL(text.length, length);
            CU_ASSERT_EQUAL(strcmp(text.bytes, want), 0);
            text_addf(&text, "x");
            CU_ASSERT_EQUAL(strcmp(text.bytes, want), 0);
            text_release(&text);
        }
}

static void failure_stays(void)
{
    struct text text = { 0 };
    memory_fail_at(1, false);
    text_add(&text, "lost");
    text_add(&text, "also lost");
    memory_fail_at(0, false);
    CU_ASSERT_TRUE(text.failed);
    CU_ASSERT_PTR_NULL(text.bytes);
    text_release(&text);
    CU_ASSERT_FALSE(text.failed);
}

static void check_bad_at(const char *bytes, size_t want)
{
    size_t at = 999;
    CU_ASSERT_FALSE(text_is_utf8(bytes, strlen(bytes), &at));
    CU_ASSERT_EQUAL(at, want);
}

/* Ill-formed sequences of RFC 3629, sections 3 and 10. */
static void utf8(void)
{
    CU_ASSERT_TRUE(text_is_utf8("plain ascii, longer than a word", 31, NULL));
    CU_ASSERT_TRUE(text_is_utf8("\xC3\xA9 \xE2\x82\xAC \xF0\x9F\x98\x80", 11, NULL));
    check_bad_at("abc\xE9", 3);
    check_bad_at("\xC0\xAF", 0);
    check_bad_at("12345678\xED\xA0\x80", 8);
    check_bad_at("a\xE2\x82", 1);
    check_bad_at("\xF4\x90\x80\x80", 0);
    check_bad_at("\xF8\x88\x80\x80\x80", 0);
    check_bad_at("\x80", 0);
    check_bad_at("\xE0\x80\xAF", 0);
}

static void printable(void)
{
    struct text text = { 0 };
    text_add_printable(&text, "a\tb\x7F\xC2\x85\xE2\x81\xA6 caf\xC3\xA9");
    check_text(text.bytes, "a\xEF\xBF\xBD" "b\xEF\xBF\xBD\xEF\xBF\xBD\xEF\xBF\xBD caf\xC3\xA9");
    text_release(&text);
}

static void distance(void)
{
    CU_ASSERT_TRUE(text_same("break_load", " Break-Load"));
    CU_ASSERT_TRUE(text_same("", "_"));
    CU_ASSERT_FALSE(text_same("break_load", "break_loads"));
    CU_ASSERT_FALSE(text_same("break_loads", "break_load"));
    CU_ASSERT_EQUAL(text_distance("break_load", "Break Load"), 0);
    CU_ASSERT_EQUAL(text_distance("densty", "density"), 1);
    CU_ASSERT_EQUAL(text_distance("desnity", "density"), 1);
    CU_ASSERT_EQUAL(text_distance("kitten", "sitting"), 3);
    CU_ASSERT_EQUAL(text_distance("a", "abcdefghijklmnop"), 9);
    CU_ASSERT_EQUAL(text_distance("", "abc"), 3);
    char longer[300];
    memset(longer, 'x', 299);
    longer[299] = '\0';
    CU_ASSERT_EQUAL(text_distance(longer, longer), 0);
    CU_ASSERT_EQUAL(text_distance(longer, "x"), 9);
}

static void nearest(void)
{
    const char *const names[] = { "density", "mass", "compressive_strength" };
    check_text(text_nearest("densty", names, 3), "density");
    check_text(text_nearest("Compressive Strenght", names, 3), "compressive_strength");
    CU_ASSERT_PTR_NULL(text_nearest("colour", names, 3));
    CU_ASSERT_PTR_NULL(text_nearest("ma", names, 3));
    check_text(text_nearest("Compressive", names, 3), "compressive_strength");
    const char *const alike[] = {"mass", "mass_submerged", "mass_saturated"};
    check_text(text_nearest("mass_sub", alike, 3), "mass_submerged");
    CU_ASSERT_PTR_NULL(text_nearest("mass_s", alike + 1, 2));
}

static void reserve(void)
{
    void *block = NULL;
    size_t capacity = 0;
    CU_ASSERT_TRUE(memory_reserve(&block, &capacity, 3, 8));
    CU_ASSERT(capacity >= 3);
    void *before = block;
    CU_ASSERT_FALSE(memory_reserve(&block, &capacity, (size_t)-1 / 4, 8));
    CU_ASSERT_PTR_EQUAL(block, before);
    CU_ASSERT_PTR_NULL(memory_new((size_t)1 << 62, 8));
    memory_free(block);
    unsigned long calls;
    memory_fail_at(2, true);
    void *first = memory_new(1, 1), *second = memory_new(1, 1), *third = memory_new(1, 1);
    calls = memory_calls();
    memory_fail_at(0, false);
    CU_ASSERT(first != NULL && second == NULL && third == NULL);
    CU_ASSERT_EQUAL(calls, 3);
    memory_free(first);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "additions", additions }, { "formatted lengths", formatted_lengths }, { "failure stays", failure_stays }, { "utf-8", utf8 },
        { "printable", printable }, { "distance", distance }, { "nearest", nearest }, { "memory", reserve },
    };
    return check_run("text", cases, sizeof cases / sizeof cases[0]);
}
