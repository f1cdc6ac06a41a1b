#include "output/drawing.h"

#include "base/memory.h"

#include <math.h>

/* Labels are put where least is in their way. All costs are in one currency: a spot covered is 10. */

#define LEADER_PX 16.0       /* a label further off gets a line to its point */
#define PARTED_FROM_PX 6.0   /* spots this near lie under the mark of the point itself */

static bool boxes_overlap(const struct box *a, const struct box *b)
{
    return a->left < b->right && b->left < a->right && a->top < b->bottom && b->top < a->bottom;
}

/*
 * What a label here would cover, on top of `cost`: leaving the panel counts most, then another label, then points. Costs only
 * add up, so no more is looked at than it takes to come to `most`.
 */
static double label_cost(const struct drawing *drawing, const struct box *box, double cost, double most)
{
    for (size_t i = 0; i < drawing->n_labels; i++)
        if (boxes_overlap(box, &drawing->labels[i]))
            cost += 1000;
    if (box->left < drawing->panel.left || box->right > drawing->panel.right
        || box->top < drawing->panel.top || box->bottom > drawing->panel.bottom)
        cost += 10000;
    for (size_t i = 0; i < drawing->n_spots && cost < most; i++) {
        double x = drawing->spots[i].x, y = drawing->spots[i].y;
        if (x > box->left - 4 && x < box->right + 4 && y > box->top - 3 && y < box->bottom + 3)
            cost += 10;
    }
    return cost;
}

static void remember_label(struct drawing *drawing, const struct box *box)
{
    void *labels = drawing->labels;
    if (!memory_reserve(&labels, &drawing->labels_capacity, drawing->n_labels + 1, sizeof *drawing->labels)) {
        drawing->script.failed = true;
        return;
    }
    drawing->labels = labels;
    drawing->labels[drawing->n_labels++] = *box;
}

#define LABEL_SIDES 3
#define LABEL_LINES 13

/* Where label number i goes: right of the point, left of it or across it; beside it, then ever further to the preferred side and the other. */
static struct box label_place(double x, double y, double width, int prefer, size_t i)
{
    static const double shares[LABEL_SIDES] = { 0, 1, 0.5 };
    size_t side = i % LABEL_SIDES, step = i / LABEL_SIDES;
    double lines = step == 0 ? 0 : (0.75 + 0.5 * (double)((step - 1) / 2)) * (step % 2 ? prefer : -prefer);
    double gap = step == 0 ? 14 : 8, half = 0.6 * DRAWING_TEXT_SIZE;
    double left = x - shares[side] * width + (side == 0 ? gap : side == 1 ? -gap : 0);
    double middle = y + lines * DRAWING_LINE_PX;
    return (struct box){ left, left + width, middle - half, middle + half };
}

/* A thin line to the point when the label had to stand off. */
static void add_leader(struct drawing *drawing, const struct box *label, double x, double y)
{
    double near_x = fmin(fmax(x, label->left), label->right), near_y = fmin(fmax(y, label->top), label->bottom);
    double length = hypot(near_x - x, near_y - y);
    if (length < LEADER_PX)
        return;
    double start = 9 / length; /* clear of the mark */
    text_addf(&drawing->script, "set arrow from screen %.5f, screen %.5f to screen %.5f, screen %.5f nohead linecolor rgb '" DRAWING_QUIET "' linewidth 0.8\n",
              (x + start * (near_x - x)) / drawing->width, 1 - (y + start * (near_y - y)) / drawing->height,
              near_x / drawing->width, 1 - near_y / drawing->height);
}

/* The best place for a label at a point: its box, its side and what it costs. */
struct placing { struct box box; size_t side; double x, y, cost; };

/* Spots between the point and its label, as where a level runs between a curve and its name. */
static double parted_cost(const struct drawing *drawing, const struct box *box, double x, double y)
{
    double dx = fmin(fmax(x, box->left), box->right) - x, dy = fmin(fmax(y, box->top), box->bottom) - y;
    double length = hypot(dx, dy), cost = 0;
    for (size_t i = 0; i < drawing->n_spots && length > PARTED_FROM_PX; i++) {
        double along = ((drawing->spots[i].x - x) * dx + (drawing->spots[i].y - y) * dy) / length;
        double across = fabs((drawing->spots[i].x - x) * dy - (drawing->spots[i].y - y) * dx) / length;
        if (along > PARTED_FROM_PX && along < length && across < 3)
            cost += 5;
    }
    return cost;
}

static struct placing find_place(const struct drawing *drawing, double x, double y, int prefer, double width, double most)
{
    struct placing best = { .x = drawing_pixel_x(drawing, x), .y = drawing_pixel_y(drawing, y), .cost = most };
    for (size_t i = 0; i < LABEL_SIDES * LABEL_LINES; i++) {
        struct box box = label_place(best.x, best.y, width, prefer, i);
        double far = (double)i;
        if (far >= best.cost)
            break;
        double cost = label_cost(drawing, &box, far, best.cost);
        cost += cost < best.cost ? parted_cost(drawing, &box, best.x, best.y) : 0;
        if (cost < best.cost) {
            best.cost = cost;
            best.box = box;
            best.side = i % LABEL_SIDES;
        }
    }
    return best;
}

static void put_label(struct drawing *drawing, const struct placing *place, const char *string, const char *colour)
{
    const double anchors[LABEL_SIDES] = { place->box.left, place->box.right, (place->box.left + place->box.right) / 2 };
    static const int aligned[LABEL_SIDES] = { -1, 1, 0 };
    remember_label(drawing, &place->box);
    add_leader(drawing, &place->box, place->x, place->y);
    drawing_text(drawing, anchors[place->side], (place->box.top + place->box.bottom) / 2, aligned[place->side], DRAWING_TEXT_SIZE, string, colour);
}

void drawing_label(struct drawing *drawing, double x, double y, int prefer, const char *string, const char *colour)
{
    struct placing place = find_place(drawing, x, y, prefer, drawing_text_width(string, DRAWING_TEXT_SIZE), INFINITY);
    put_label(drawing, &place, string, colour);
}

void drawing_label_along(struct drawing *drawing, const double *x, const double *y, size_t n, int prefer, const char *string, const char *colour)
{
    struct placing best = { .cost = INFINITY };
    for (size_t i = 0; i < n; i++) {
        double late = 2 * (double)i;
        struct placing place = find_place(drawing, x[i], y[i], prefer, drawing_text_width(string, DRAWING_TEXT_SIZE), best.cost - late);
        place.cost += late;
        if (isfinite(x[i]) && isfinite(y[i]) && place.cost < best.cost)
            best = place;
    }
    if (isfinite(best.cost))
        put_label(drawing, &best, string, colour);
}
