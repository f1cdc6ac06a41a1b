#include "advise/search.h"

#include "base/memory.h"

#include <string.h>

#define SLOT_BITS 11   /* a search asks for some hundred bounds an aggregate */
#define SLOTS ((size_t)1 << SLOT_BITS)
#define PROBES 8       /* slots that one bound may stand in; when all are taken, the first is given up */

/* One bound already worked out; curve NULL: empty. */
struct bound_slot {
    const struct curve *curve;
    double x, bound;
    int side;
};

enum status bound_memo_make(struct bound_memo *memo)
{
    memo->slots = memory_new(SLOTS, sizeof *memo->slots);
    return memo->slots ? STATUS_OK : STATUS_MEMORY;
}

void bound_memo_release(struct bound_memo *memo)
{
    memory_free(memo->slots);
    memo->slots = NULL;
}

/* Multiplicative hashing: the high bits of a product depend on all bits of its factors. */
static size_t slot_number(const struct curve *curve, double x, int side)
{
    uint64_t bits;
    memcpy(&bits, &x, sizeof bits);
    bits ^= ((uint64_t)(uintptr_t)curve + (side < 0)) * UINT64_C(0x9E3779B97F4A7C15);
    return (size_t)((bits * UINT64_C(0xD1B54A32D192ED03)) >> (64 - SLOT_BITS));
}

double bound_memo_get(const struct bound_memo *memo, const struct curve *curve, double x, const struct assurance *assurance, int side)
{
    if (!memo->slots)
        return curve_bound(curve, x, assurance, side);
    size_t first = slot_number(curve, x, side);
    struct bound_slot *free_slot = &memo->slots[first];
    for (size_t i = 0; i < PROBES; i++) {
        struct bound_slot *slot = &memo->slots[(first + i) % SLOTS];
        if (slot->curve == curve && slot->x == x && slot->side == side)
            return slot->bound;
        if (!slot->curve) {
            free_slot = slot;
            break;
        }
    }
    *free_slot = (struct bound_slot){ curve, x, curve_bound(curve, x, assurance, side), side };
    return free_slot->bound;
}
