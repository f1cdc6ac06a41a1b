#include "ingest/stretches.h"

#include "base/memory.h"
#include "base/text.h"
#include "ingest/reader_state.h"

#include <errno.h>
#include <pthread.h>
#include <string.h>
#include <unistd.h>

#define WORKERS_MOST 7
#define SLOTS_A_THREAD 3

_Static_assert(STRETCH_BYTES <= CELL_LONGEST, "a cell of a stretch is never too long");

enum slot_state { SLOT_WAITING, SLOT_TAKEN, SLOT_DONE };

/* A row within the bytes of its stretch, without its line end. */
struct row_bytes {
    uint32_t start, length;
};

struct slot {
    char raw[STRETCH_BYTES];
    char cut[STRETCH_BYTES + ROW_SPLIT_BEHIND]; /* the same bytes, cut into cells */
    size_t length;
    bool whole_lines;            /* begins and ends with a line */
    enum slot_state state;
    bool ready;
    size_t n_rows;
    struct row_bytes rows[STRETCH_ROWS_MOST]; /* a file of shorter rows is read by lines */
    void *block;                 /* of the digest */
};

/* Only the reader's thread reads, and moves the head; whoever finds a waiting slot looks at it. */
struct stretches {
    struct line_source *source;
    struct stretch_rows rows;
    struct slot *slots;
    size_t n_slots, head, n_held; /* held: the head and those read after it */
    bool lent;                    /* the head is with the reader */
    char carry[STRETCH_BYTES];    /* the line that the last stretch broke off */
    size_t carried;
    bool within_line, ended;
    int error;
    pthread_mutex_t lock;
    pthread_cond_t changed;
    pthread_t workers[WORKERS_MOST];
    size_t n_workers;
    bool closing;
};

/* ---- looking at one stretch ---- */

/* What a line cannot hold and be a row without a question. NUL and Ctrl-Z are faults; a quote needs the parser. */
static bool bytes_are_plain(const char *bytes, size_t length)
{
    return !memchr(bytes, '"', length) && !memchr(bytes, '\0', length) && !memchr(bytes, 0x1A, length)
        && text_is_utf8(bytes, length, NULL) && !fault_order_mark(bytes, length);
}

static bool any_filled(const struct cell *cells, size_t n_cells)
{
    for (size_t i = 0; i < n_cells; i++)
        if (cells[i].length > 0)
            return true;
    return false;
}

/* One more row of a slot, from its line without the end; false when there is anything to say about it. cells: of the row above. */
static bool look_at_line(const struct stretches *all, struct slot *slot, size_t start, size_t length, struct cell *cells)
{
    if (slot->raw[start] == '#' || slot->n_rows == STRETCH_ROWS_MOST)
        return false;
    struct row row = { .path = all->source->path, .cells = cells, .raw = slot->raw + start, .raw_length = length };
    row.n_cells = row_split(slot->cut + start, length, all->rows.separator, cells, slot->n_rows > 0 ? all->rows.n_columns : 0);
    if (row.n_cells != all->rows.n_columns || !any_filled(cells, row.n_cells))
        return false;
    slot->rows[slot->n_rows++] = (struct row_bytes){ (uint32_t)start, (uint32_t)length };
    return all->rows.receiver->digest->digest(&row, all->rows.receiver->context, slot->block);
}

static bool look_at_lines(const struct stretches *all, struct slot *slot)
{
    struct cell cells[COLUMNS_MOST];
    bool returns = memchr(slot->raw, '\r', slot->length);
    slot->n_rows = 0;
    if (!slot->whole_lines || !bytes_are_plain(slot->raw, slot->length))
        return false;
    memcpy(slot->cut, slot->raw, slot->length);
    all->rows.receiver->digest->begin(slot->block);
    for (size_t start = 0, next; start < slot->length; start = next) {
        const char *end = memchr(slot->raw + start, '\n', slot->length - start);
        size_t length = (size_t)(end - slot->raw) - start;
        next = start + length + 1;
        while (returns && length > 0 && slot->raw[start + length - 1] == '\r')
            length--;
        if ((returns && memchr(slot->raw + start, '\r', length)) || !look_at_line(all, slot, start, length, cells))
            return false;
    }
    return true;
}

/* Looks at the first waiting slot, without the lock; false when there is none. Call with the lock held. */
static bool look_at_one(struct stretches *all)
{
    for (size_t i = 0; i < all->n_held; i++) {
        struct slot *slot = &all->slots[(all->head + i) % all->n_slots];
        if (slot->state != SLOT_WAITING)
            continue;
        slot->state = SLOT_TAKEN;
        pthread_mutex_unlock(&all->lock);
        slot->ready = look_at_lines(all, slot);
        pthread_mutex_lock(&all->lock);
        slot->state = SLOT_DONE;
        pthread_cond_broadcast(&all->changed);
        return true;
    }
    return false;
}

static void *work(void *context)
{
    struct stretches *all = context;
    pthread_mutex_lock(&all->lock);
    while (!all->closing)
        if (!look_at_one(all))
            pthread_cond_wait(&all->changed, &all->lock);
    pthread_mutex_unlock(&all->lock);
    return NULL;
}

/* ---- reading ahead ---- */

/* Fills a slot up to the end of its last line; what follows is carried over into the next one. */
static void read_slot(struct stretches *all, struct slot *slot)
{
    memcpy(slot->raw, all->carry, all->carried);
    ssize_t n = lines_read(all->source, slot->raw + all->carried, STRETCH_BYTES - all->carried);
    all->error = n < 0 ? errno : 0;
    all->ended = n < 0 || all->carried + (size_t)n < STRETCH_BYTES;
    slot->length = all->carried + (size_t)(n < 0 ? 0 : n);
    all->carried = 0;
    size_t end = slot->length;
    while (end > 0 && slot->raw[end - 1] != '\n')
        end--;
    slot->whole_lines = end > 0 && !all->within_line && (!all->ended || end == slot->length);
    all->within_line = end == 0;
    if (end > 0 && !all->ended) {
        all->carried = slot->length - end;
        memcpy(all->carry, slot->raw + end, all->carried);
        slot->length = end;
    }
}

/* Fills the slots that are free. The lock is let go while the disk is read. */
static void read_ahead(struct stretches *all)
{
    while (!all->ended && all->n_held < all->n_slots) {
        struct slot *slot = &all->slots[(all->head + all->n_held) % all->n_slots];
        pthread_mutex_unlock(&all->lock);
        read_slot(all, slot);
        pthread_mutex_lock(&all->lock);
        if (slot->length == 0)
            return;
        slot->state = SLOT_WAITING;
        all->n_held++;
        pthread_cond_broadcast(&all->changed);
    }
}

/* The head once it was looked at, NULL at the end of the file. Gives the one before back. */
static struct slot *next_slot(struct stretches *all)
{
    pthread_mutex_lock(&all->lock);
    if (all->lent) {
        all->head = (all->head + 1) % all->n_slots;
        all->n_held--;
        all->lent = false;
    }
    read_ahead(all);
    struct slot *slot = all->n_held > 0 ? &all->slots[all->head] : NULL;
    while (slot && slot->state != SLOT_DONE)
        if (!look_at_one(all))
            pthread_cond_wait(&all->changed, &all->lock);
    pthread_mutex_unlock(&all->lock);
    return slot;
}

/* The bytes of the next stretch, for the source to read a line at a time. */
static ssize_t give_bytes(void *context, char *to, size_t room, struct problem_list *problems)
{
    struct stretches *all = context;
    struct slot *slot = next_slot(all);
    (void)room;
    if (!slot && all->error)
        lines_read_problem(all->source, all->error, problems);
    if (!slot)
        return all->error ? -1 : 0;
    all->lent = true;
    memcpy(to, slot->raw, slot->length);
    return (ssize_t)slot->length;
}

enum stretch_kind stretches_next(struct stretches *all, struct row_stretch *ready)
{
    struct slot *slot = next_slot(all);
    if (!slot || !slot->ready)
        return STRETCH_OTHER;
    all->lent = true;
    *ready = (struct row_stretch){ all->source->path, slot->n_rows, all->source->line + 1, slot->block };
    all->source->line += slot->n_rows;
    return STRETCH_READY;
}

const char *stretches_row(const struct stretches *all, size_t i, size_t *length)
{
    const struct slot *slot = &all->slots[all->head];
    *length = slot->rows[i].length;
    return slot->raw + slot->rows[i].start;
}

/* ---- opening and closing ---- */

static size_t further_processors(void)
{
    long n = sysconf(_SC_NPROCESSORS_ONLN);
    return n < 2 ? 0 : n > WORKERS_MOST ? WORKERS_MOST : (size_t)n - 1;
}

static void start_workers(struct stretches *all, size_t n)
{
    while (all->n_workers < n && pthread_create(&all->workers[all->n_workers], NULL, work, all) == 0)
        all->n_workers++;
}

static bool open_blocks(struct stretches *all)
{
    for (size_t i = 0; i < all->n_slots; i++)
        if (!(all->slots[i].block = all->rows.receiver->digest->open()))
            return false;
    return true;
}

static void release(struct stretches *all)
{
    for (size_t i = 0; all->slots && i < all->n_slots; i++)
        if (all->slots[i].block)
            all->rows.receiver->digest->close(all->slots[i].block);
    memory_free(all->slots);
    memory_free(all);
}

struct stretches *stretches_open(struct line_source *source, const struct stretch_rows *rows)
{
    size_t n_workers = further_processors();
    struct stretches *all = n_workers > 0 ? memory_new(1, sizeof *all) : NULL;
    if (!all)
        return NULL;
    all->source = source;
    all->rows = *rows;
    all->n_slots = (n_workers + 1) * SLOTS_A_THREAD;
    all->slots = memory_resize(NULL, all->n_slots, sizeof *all->slots); /* not zeroed, for then all pages would be touched */
    for (size_t i = 0; all->slots && i < all->n_slots; i++)
        all->slots[i].block = NULL;
    bool locked = all->slots && open_blocks(all) && pthread_mutex_init(&all->lock, NULL) == 0;
    if (!locked || pthread_cond_init(&all->changed, NULL) != 0) {
        if (locked)
            pthread_mutex_destroy(&all->lock);
        release(all);
        return NULL;
    }
    const char *rest = lines_ahead(source, &all->carried);
    memcpy(all->carry, rest, all->carried);
    source->at = source->kept = source->end = 0;
    source->supply = (struct line_supply){ give_bytes, all };
    start_workers(all, n_workers);
    return all;
}

void stretches_close(struct stretches *all)
{
    if (!all)
        return;
    pthread_mutex_lock(&all->lock);
    all->closing = true;
    pthread_cond_broadcast(&all->changed);
    pthread_mutex_unlock(&all->lock);
    for (size_t i = 0; i < all->n_workers; i++)
        pthread_join(all->workers[i], NULL);
    pthread_cond_destroy(&all->changed);
    pthread_mutex_destroy(&all->lock);
    release(all);
}
