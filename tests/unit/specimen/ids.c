/* Ids are found by runs of numbers and by their hash: held against looking at every id that the set has. */
#include "support/check.h"

#include "base/memory.h"
#include "specimen/specimen_set_store.h"

#define IDS 3000u

static unsigned draw(unsigned *state, unsigned below)
{
    *state = *state * 1664525u + 1013904223u; /* Numerical Recipes' quick generator will do here */
    return (*state >> 8) % below;
}

static void make_set(struct specimen_set *set, struct set_store *store)
{
    *store = (struct set_store){ .row_capacity = IDS };
    *set = (struct specimen_set){ .store = store };
}

static void end_set(struct specimen_set *set)
{
    memory_free(set->id);
    text_release(&set->store->names);
    name_index_release(&set->store->id_index);
}

static void add(struct specimen_set *set, const char *id)
{
    const struct id_mark mark = id_mark_of(id);
    struct name_room room;
    CU_ASSERT_FATAL(id_enter(set, id, &mark, set->n + 2));
    if (id[0])
        check_text(specimen_set_id(set, set->n, &room), id);
    set->n++;
}

static uint32_t find_slowly(const struct specimen_set *set, const char *id, bool *same)
{
    uint32_t alike = NOT_KNOWN;
    struct name_room room;
    *same = false;
    for (uint32_t i = 0; id[0] && i < set->n; i++) {
        if (strcmp(specimen_set_id(set, i, &room), id) == 0) {
            *same = true;
            return i;
        }
        if (name_alike(specimen_set_id(set, i, &room), id))
            alike = i;
    }
    return alike;
}

/* Finds the id as it should, and adds it unless it stands twice. True when there was something to say. */
static bool meet(struct specimen_set *set, const char *id)
{
    bool same, same_slowly;
    const struct id_mark mark = id_mark_of(id);
    const uint32_t found = id_find(set, id, &mark, &same), slowly = find_slowly(set, id, &same_slowly);
    if (found != slowly || same != same_slowly)
        printf("id '%s' after %zu: row %u %d, should be %u %d\n", id, set->n, found, same, slowly, same_slowly);
    CU_ASSERT_EQUAL(found, slowly);
    CU_ASSERT_EQUAL(same, same_slowly);
    if (!same_slowly)
        add(set, id);
    return slowly != NOT_KNOWN;
}

/* What people call their specimens: numbers that mostly count up, with gaps, blanks, zeros in front and letters. */
static void draw_id(unsigned *state, unsigned *number, char out[32])
{
    static const char *const forms[] = { "%u", "%u", "%u", "%u", "%u", "%u", "0%u", "S%u", "s%u", "%u a", "00%u", "123456789%u" };
    unsigned jump = draw(state, 40);
    *number = jump == 0 ? draw(state, *number + 1) : jump == 1 ? *number + draw(state, 50) : *number + 1;
    snprintf(out, 32, forms[draw(state, sizeof forms / sizeof *forms)], *number);
    size_t length = strlen(out), at = 1 + draw(state, 20);
    if (at < length) {
        memmove(out + at + 1, out + at, length - at + 1);
        out[at] = ' ';
    }
    if (draw(state, 100) == 0)
        out[0] = '\0';
}

static void drawn_ids(void)
{
    for (unsigned seed = 1; seed < 6; seed++) {
        struct set_store store;
        struct specimen_set set;
        unsigned state = seed, number = 0, n_told = 0;
        char id[32];
        make_set(&set, &store);
        for (unsigned i = 0; i < IDS; i++) {
            draw_id(&state, &number, id);
            n_told += meet(&set, id);
        }
        CU_ASSERT(n_told > IDS / 20);
        end_set(&set);
    }
}

/* Numbers that count up take one run and no place in the table; one that turns back takes a place in the table. */
static void counting_up(void)
{
    struct set_store store;
    struct specimen_set set;
    char id[32];
    make_set(&set, &store);
    for (unsigned i = 0; i < 1000; i++) {
        snprintf(id, sizeof id, "%u", 7 + i);
        CU_ASSERT_FALSE(meet(&set, id));
    }
    CU_ASSERT_EQUAL(store.id_index.n_runs, 1);
    CU_ASSERT_EQUAL(store.id_index.others.n_used, 0);
    CU_ASSERT_FALSE(meet(&set, "3"));
    CU_ASSERT_EQUAL(store.id_index.others.n_used, 1);
    CU_ASSERT_TRUE(meet(&set, "3"));
    CU_ASSERT_TRUE(meet(&set, "500"));
    CU_ASSERT_TRUE(meet(&set, "50 0"));
    CU_ASSERT_TRUE(meet(&set, "1006"));
    CU_ASSERT_FALSE(meet(&set, "01006"));
    CU_ASSERT_FALSE(meet(&set, "1007")); /* not the next row: a run of its own */
    CU_ASSERT_EQUAL(store.id_index.n_runs, 2);
    CU_ASSERT_FALSE(meet(&set, "4294967303")); /* 7 if 32 bits ran over */
    CU_ASSERT_FALSE(meet(&set, "9 9 9 9"));
    CU_ASSERT_TRUE(meet(&set, "9999"));
    end_set(&set);
}

int main(void)
{
    static const struct check_case cases[] = { { "counting up", counting_up }, { "drawn ids", drawn_ids } };
    return check_run("ids", cases, sizeof cases / sizeof *cases);
}
