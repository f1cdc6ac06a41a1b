/* Every letter of U+00C0 to U+017F that Unicode 15 decomposes into a Latin letter and one sign, by both codings. */
#include "specimen/name_walk.h"
#include "specimen/specimen_set_store.h"
#include "support/check.h"

static const struct { const char *one, *two; } letters[] = {
    { "\xC3\x80", "A" "\xCC\x80" }, { "\xC3\x81", "A" "\xCC\x81" }, { "\xC3\x82", "A" "\xCC\x82" },
    { "\xC3\x83", "A" "\xCC\x83" }, { "\xC3\x84", "A" "\xCC\x88" }, { "\xC3\x85", "A" "\xCC\x8A" },
    { "\xC3\x87", "C" "\xCC\xA7" }, { "\xC3\x88", "E" "\xCC\x80" }, { "\xC3\x89", "E" "\xCC\x81" },
    { "\xC3\x8A", "E" "\xCC\x82" }, { "\xC3\x8B", "E" "\xCC\x88" }, { "\xC3\x8C", "I" "\xCC\x80" },
    { "\xC3\x8D", "I" "\xCC\x81" }, { "\xC3\x8E", "I" "\xCC\x82" }, { "\xC3\x8F", "I" "\xCC\x88" },
    { "\xC3\x91", "N" "\xCC\x83" }, { "\xC3\x92", "O" "\xCC\x80" }, { "\xC3\x93", "O" "\xCC\x81" },
    { "\xC3\x94", "O" "\xCC\x82" }, { "\xC3\x95", "O" "\xCC\x83" }, { "\xC3\x96", "O" "\xCC\x88" },
    { "\xC3\x99", "U" "\xCC\x80" }, { "\xC3\x9A", "U" "\xCC\x81" }, { "\xC3\x9B", "U" "\xCC\x82" },
    { "\xC3\x9C", "U" "\xCC\x88" }, { "\xC3\x9D", "Y" "\xCC\x81" }, { "\xC3\xA0", "a" "\xCC\x80" },
    { "\xC3\xA1", "a" "\xCC\x81" }, { "\xC3\xA2", "a" "\xCC\x82" }, { "\xC3\xA3", "a" "\xCC\x83" },
    { "\xC3\xA4", "a" "\xCC\x88" }, { "\xC3\xA5", "a" "\xCC\x8A" }, { "\xC3\xA7", "c" "\xCC\xA7" },
    { "\xC3\xA8", "e" "\xCC\x80" }, { "\xC3\xA9", "e" "\xCC\x81" }, { "\xC3\xAA", "e" "\xCC\x82" },
    { "\xC3\xAB", "e" "\xCC\x88" }, { "\xC3\xAC", "i" "\xCC\x80" }, { "\xC3\xAD", "i" "\xCC\x81" },
    { "\xC3\xAE", "i" "\xCC\x82" }, { "\xC3\xAF", "i" "\xCC\x88" }, { "\xC3\xB1", "n" "\xCC\x83" },
    { "\xC3\xB2", "o" "\xCC\x80" }, { "\xC3\xB3", "o" "\xCC\x81" }, { "\xC3\xB4", "o" "\xCC\x82" },
    { "\xC3\xB5", "o" "\xCC\x83" }, { "\xC3\xB6", "o" "\xCC\x88" }, { "\xC3\xB9", "u" "\xCC\x80" },
    { "\xC3\xBA", "u" "\xCC\x81" }, { "\xC3\xBB", "u" "\xCC\x82" }, { "\xC3\xBC", "u" "\xCC\x88" },
    { "\xC3\xBD", "y" "\xCC\x81" }, { "\xC3\xBF", "y" "\xCC\x88" }, { "\xC4\x80", "A" "\xCC\x84" },
    { "\xC4\x81", "a" "\xCC\x84" }, { "\xC4\x82", "A" "\xCC\x86" }, { "\xC4\x83", "a" "\xCC\x86" },
    { "\xC4\x84", "A" "\xCC\xA8" }, { "\xC4\x85", "a" "\xCC\xA8" }, { "\xC4\x86", "C" "\xCC\x81" },
    { "\xC4\x87", "c" "\xCC\x81" }, { "\xC4\x88", "C" "\xCC\x82" }, { "\xC4\x89", "c" "\xCC\x82" },
    { "\xC4\x8A", "C" "\xCC\x87" }, { "\xC4\x8B", "c" "\xCC\x87" }, { "\xC4\x8C", "C" "\xCC\x8C" },
    { "\xC4\x8D", "c" "\xCC\x8C" }, { "\xC4\x8E", "D" "\xCC\x8C" }, { "\xC4\x8F", "d" "\xCC\x8C" },
    { "\xC4\x92", "E" "\xCC\x84" }, { "\xC4\x93", "e" "\xCC\x84" }, { "\xC4\x94", "E" "\xCC\x86" },
    { "\xC4\x95", "e" "\xCC\x86" }, { "\xC4\x96", "E" "\xCC\x87" }, { "\xC4\x97", "e" "\xCC\x87" },
    { "\xC4\x98", "E" "\xCC\xA8" }, { "\xC4\x99", "e" "\xCC\xA8" }, { "\xC4\x9A", "E" "\xCC\x8C" },
    { "\xC4\x9B", "e" "\xCC\x8C" }, { "\xC4\x9C", "G" "\xCC\x82" }, { "\xC4\x9D", "g" "\xCC\x82" },
    { "\xC4\x9E", "G" "\xCC\x86" }, { "\xC4\x9F", "g" "\xCC\x86" }, { "\xC4\xA0", "G" "\xCC\x87" },
    { "\xC4\xA1", "g" "\xCC\x87" }, { "\xC4\xA2", "G" "\xCC\xA7" }, { "\xC4\xA3", "g" "\xCC\xA7" },
    { "\xC4\xA4", "H" "\xCC\x82" }, { "\xC4\xA5", "h" "\xCC\x82" }, { "\xC4\xA8", "I" "\xCC\x83" },
    { "\xC4\xA9", "i" "\xCC\x83" }, { "\xC4\xAA", "I" "\xCC\x84" }, { "\xC4\xAB", "i" "\xCC\x84" },
    { "\xC4\xAC", "I" "\xCC\x86" }, { "\xC4\xAD", "i" "\xCC\x86" }, { "\xC4\xAE", "I" "\xCC\xA8" },
    { "\xC4\xAF", "i" "\xCC\xA8" }, { "\xC4\xB0", "I" "\xCC\x87" }, { "\xC4\xB4", "J" "\xCC\x82" },
    { "\xC4\xB5", "j" "\xCC\x82" }, { "\xC4\xB6", "K" "\xCC\xA7" }, { "\xC4\xB7", "k" "\xCC\xA7" },
    { "\xC4\xB9", "L" "\xCC\x81" }, { "\xC4\xBA", "l" "\xCC\x81" }, { "\xC4\xBB", "L" "\xCC\xA7" },
    { "\xC4\xBC", "l" "\xCC\xA7" }, { "\xC4\xBD", "L" "\xCC\x8C" }, { "\xC4\xBE", "l" "\xCC\x8C" },
    { "\xC5\x83", "N" "\xCC\x81" }, { "\xC5\x84", "n" "\xCC\x81" }, { "\xC5\x85", "N" "\xCC\xA7" },
    { "\xC5\x86", "n" "\xCC\xA7" }, { "\xC5\x87", "N" "\xCC\x8C" }, { "\xC5\x88", "n" "\xCC\x8C" },
    { "\xC5\x8C", "O" "\xCC\x84" }, { "\xC5\x8D", "o" "\xCC\x84" }, { "\xC5\x8E", "O" "\xCC\x86" },
    { "\xC5\x8F", "o" "\xCC\x86" }, { "\xC5\x90", "O" "\xCC\x8B" }, { "\xC5\x91", "o" "\xCC\x8B" },
    { "\xC5\x94", "R" "\xCC\x81" }, { "\xC5\x95", "r" "\xCC\x81" }, { "\xC5\x96", "R" "\xCC\xA7" },
    { "\xC5\x97", "r" "\xCC\xA7" }, { "\xC5\x98", "R" "\xCC\x8C" }, { "\xC5\x99", "r" "\xCC\x8C" },
    { "\xC5\x9A", "S" "\xCC\x81" }, { "\xC5\x9B", "s" "\xCC\x81" }, { "\xC5\x9C", "S" "\xCC\x82" },
    { "\xC5\x9D", "s" "\xCC\x82" }, { "\xC5\x9E", "S" "\xCC\xA7" }, { "\xC5\x9F", "s" "\xCC\xA7" },
    { "\xC5\xA0", "S" "\xCC\x8C" }, { "\xC5\xA1", "s" "\xCC\x8C" }, { "\xC5\xA2", "T" "\xCC\xA7" },
    { "\xC5\xA3", "t" "\xCC\xA7" }, { "\xC5\xA4", "T" "\xCC\x8C" }, { "\xC5\xA5", "t" "\xCC\x8C" },
    { "\xC5\xA8", "U" "\xCC\x83" }, { "\xC5\xA9", "u" "\xCC\x83" }, { "\xC5\xAA", "U" "\xCC\x84" },
    { "\xC5\xAB", "u" "\xCC\x84" }, { "\xC5\xAC", "U" "\xCC\x86" }, { "\xC5\xAD", "u" "\xCC\x86" },
    { "\xC5\xAE", "U" "\xCC\x8A" }, { "\xC5\xAF", "u" "\xCC\x8A" }, { "\xC5\xB0", "U" "\xCC\x8B" },
    { "\xC5\xB1", "u" "\xCC\x8B" }, { "\xC5\xB2", "U" "\xCC\xA8" }, { "\xC5\xB3", "u" "\xCC\xA8" },
    { "\xC5\xB4", "W" "\xCC\x82" }, { "\xC5\xB5", "w" "\xCC\x82" }, { "\xC5\xB6", "Y" "\xCC\x82" },
    { "\xC5\xB7", "y" "\xCC\x82" }, { "\xC5\xB8", "Y" "\xCC\x88" }, { "\xC5\xB9", "Z" "\xCC\x81" },
    { "\xC5\xBA", "z" "\xCC\x81" }, { "\xC5\xBB", "Z" "\xCC\x87" }, { "\xC5\xBC", "z" "\xCC\x87" },
    { "\xC5\xBD", "Z" "\xCC\x8C" }, { "\xC5\xBE", "z" "\xCC\x8C" },
};

static void both_codings(void)
{
    for (size_t i = 0; i < sizeof letters / sizeof letters[0]; i++) {
        CU_ASSERT(name_alike(letters[i].one, letters[i].two));
        CU_ASSERT_EQUAL(name_hash(letters[i].one, 5), name_hash(letters[i].two, 5));
    }
}

static void different_names(void)
{
    CU_ASSERT_FALSE(name_alike("caf\xC3\xA9", "cafe"));
    CU_ASSERT_FALSE(name_alike("caf\xC3\xA9", "caf\xC3\xA8"));
    CU_ASSERT_FALSE(name_alike("\xC3\x97", "x"));            /* a multiplication sign is no letter */
    CU_ASSERT_FALSE(name_alike("e\xCC\x81", "\xCC\x81" "e")); /* the accent follows its letter */
    CU_ASSERT_FALSE(name_alike("\xC3", "\xC3\xA9"));         /* cut short: no character, and no reading past the end */
    CU_ASSERT_FALSE(name_alike("A1", "A2"));
}

static void capitals_and_blanks(void)
{
    CU_ASSERT(name_alike("CAF\xC3\x89 1", " cafe\xCC\x81" "1 "));
    CU_ASSERT_EQUAL(name_hash("CAF\xC3\x89 1", 0), name_hash("cafe\xCC\x81" "1", 0));
    CU_ASSERT_EQUAL(name_hash("Mix 1", 7), name_hash("mix1", 7));
    CU_ASSERT_NOT_EQUAL(name_hash("mix1", 7), name_hash("mix1", 8));
}

int main(void)
{
    static const struct check_case cases[] = {
        { "both codings", both_codings }, { "different names", different_names }, { "capitals and blanks", capitals_and_blanks },
    };
    return check_run("name walk", cases, sizeof cases / sizeof *cases);
}
