#include "output/drawing.h"

#include "support/check.h"

static void style_is_the_file_in_plots(void)
{
    FILE *file = fopen("plots/plumestone.gp", "r");
    char line[512];
    size_t n = 0;
    CU_ASSERT_PTR_NOT_NULL_FATAL(file);
    while (fgets(line, sizeof line, file)) {
        line[strcspn(line, "\n")] = '\0';
        CU_ASSERT_PTR_NOT_NULL_FATAL(drawing_style[n]);
        check_text(drawing_style[n], line);
        n++;
    }
    CU_ASSERT_PTR_NULL(drawing_style[n]);
    fclose(file);
}

static void axes_end_on_round_steps(void)
{
    struct axis axis = axis_round(3.2, 41.7, 5);
    CU_ASSERT(axis.low == 0 && axis.high == 50 && axis.step == 10);
    axis = axis_round(0.17, 0.63, 6);
    check_close("step", axis.step, 0.1, 1e-12);
    check_close("low", axis.low, 0.1, 1e-12);
    check_close("high", axis.high, 0.7, 1e-12);
    axis = axis_round(1040, 2260, 5);
    CU_ASSERT(axis.step == 200 && axis.low == 1000 && axis.high == 2400);
}

static void spans_pass_over_what_is_absent(void)
{
    double low = 1, high = 0;
    drawing_span(&low, &high, NAN);
    CU_ASSERT(low > high);
    drawing_span(&low, &high, 7);
    drawing_span(&low, &high, INFINITY);
    drawing_span(&low, &high, 5);
    CU_ASSERT(low == 5 && high == 7);
    low = high = 40;
    drawing_widen(&low, &high, 0.1);
    CU_ASSERT(low == 38 && high == 42);
}

static bool overlap(const struct box *a, const struct box *b)
{
    return a->left < b->right && b->left < a->right && a->top < b->bottom && b->top < a->bottom;
}

static void labels_cover_neither_points_nor_one_another(void)
{
    struct drawing drawing = drawing_on(0);
    drawing_begin(&drawing, "test", 400, "title", "subtitle");
    drawing_panel(&drawing, (struct box){ 84, 516, 80, 340 }, (struct axis){ 0, 1, 0.2 }, (struct axis){ 0, 10, 2 }, "x", "y");
    for (int i = 0; i <= 100; i++)
        drawing_avoid(&drawing, i / 100.0, 8 - 6 * i / 100.0);
    for (int i = 0; i < 5; i++)
        drawing_label(&drawing, 0.5, 5, -1, "a label of some length", DRAWING_INK);
    CU_ASSERT(drawing.n_labels == 5);
    for (size_t i = 0; i < drawing.n_labels; i++) {
        const struct box *label = &drawing.labels[i];
        CU_ASSERT(label->left >= 84 && label->right <= 540 && label->bottom <= 340);
        for (size_t j = i + 1; j < drawing.n_labels; j++)
            CU_ASSERT(!overlap(label, &drawing.labels[j]));
        for (size_t j = 0; i < 3 && j < drawing.n_spots; j++)
            CU_ASSERT(!(drawing.spots[j].x > label->left && drawing.spots[j].x < label->right
                        && drawing.spots[j].y > label->top && drawing.spots[j].y < label->bottom));
    }
    drawing_release(&drawing);
}

/* The frame ends at 516, the picture at 540. */
static void labels_stay_in_the_frame(void)
{
    struct drawing drawing = drawing_on(0);
    drawing_begin(&drawing, "test", 400, "title", "subtitle");
    drawing_panel(&drawing, (struct box){ 84, 516, 80, 340 }, (struct axis){ 0, 1, 0.2 }, (struct axis){ 0, 10, 2 }, "x", "y");
    for (int i = 0; i <= 20; i++)
        drawing_label(&drawing, 0.9 + i / 200.0, 9.9 - i / 2.0, -1, "ab", DRAWING_INK);
    for (size_t i = 0; i < drawing.n_labels; i++)
        CU_ASSERT(drawing.labels[i].left >= 84 && drawing.labels[i].right <= 516 && drawing.labels[i].top >= 80 && drawing.labels[i].bottom <= 340);
    drawing_release(&drawing);
}

static void subtitles_do_not_part_a_number_from_its_unit(void)
{
    struct drawing drawing = drawing_on(0);
    static const char subtitle[] = "word word word word word word word word word word word word word wor 95 % of all of them"; /* 71 signs fit: to "95" */
    drawing_begin(&drawing, "test", 400, "title", subtitle);
    CU_ASSERT_PTR_NOT_NULL(strstr(drawing.script.bytes, "'95\xC2\xA0% of all of them"));
    drawing_release(&drawing);
}

static void long_titles_are_cut_and_subtitles_wrap(void)
{
    struct drawing drawing = drawing_on(0);
    char title[10001];
    memset(title, 'M', sizeof title - 1);
    title[sizeof title - 1] = '\0';
    double one = drawing_header(&drawing, "short"), three = drawing_header(&drawing, "word word word word word word word word word word word word word word word "
                                     "word word word word word word word word word word word word word word word word");
    CU_ASSERT(three > one + 30);
    drawing_begin(&drawing, "test", 400, title, "word");
    CU_ASSERT(strstr(drawing.script.bytes, "MMMMMMMMMM\xE2\x80\xA6'") != NULL);
    CU_ASSERT(drawing.script.length < 6000);
    drawing_release(&drawing);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "the style is the file in plots", style_is_the_file_in_plots },
        { "axes end on round steps", axes_end_on_round_steps },
        { "spans pass over what is absent", spans_pass_over_what_is_absent },
        { "labels cover neither points nor one another", labels_cover_neither_points_nor_one_another },
        { "labels stay in the frame", labels_stay_in_the_frame },
        { "subtitles do not part a number from its unit", subtitles_do_not_part_a_number_from_its_unit },
        { "long titles are cut and subtitles wrap", long_titles_are_cut_and_subtitles_wrap },
    };
    return check_run("drawing", cases, sizeof cases / sizeof cases[0]);
}
