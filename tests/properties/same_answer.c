/*
 * Whether two answers in JSON say the same.
 *
 * same_answer A B [PREFIX [FACTOR]]
 *
 * Numbers agree to 1e-6 of their size or 1e-9; items of arrays are matched by their
 * words, since the order in which things are named first may differ, and a
 * difference of b to a is that of a to b turned round. Lines and rows of files are passed
 * over, and classes of strength when FACTOR is not 1. PREFIX is taken out of B's words; B's compressive strengths, and their
 * differences, are FACTOR times those of A. Tells every difference by its place.
 */
#include <jansson.h>
#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define RELATIVE 1e-6
#define ABSOLUTE 1e-9

struct judge { const char *prefix; double factor; size_t differences; };

static void differ(struct judge *judge, const char *place, const char *what)
{
    judge->differences++;
    if (judge->differences <= 10)
        printf("%s: %s\n", place, what);
}

static void take_out(const char *prefix, json_t *string)
{
    char *text = strdup(json_string_value(string));
    for (char *at; text && *prefix && (at = strstr(text, prefix)) != NULL;)
        memmove(at, at + strlen(prefix), strlen(at + strlen(prefix)) + 1);
    json_string_set(string, text);
    free(text);
}

static void turn_round(json_t *pair)
{
    json_t *a = json_object_get(pair, "a"), *b = json_object_get(pair, "b"), *difference = json_object_get(pair, "difference");
    if (!json_is_string(a) || !json_is_string(b) || !difference || strcmp(json_string_value(a), json_string_value(b)) <= 0)
        return;
    json_incref(a);
    json_object_set(pair, "a", b);
    json_object_set_new(pair, "b", a);
    double lower = json_number_value(json_object_get(pair, "lower")), upper = json_number_value(json_object_get(pair, "upper"));
    if (json_is_number(difference))
        json_object_set_new(pair, "difference", json_real(-json_number_value(difference)));
    if (json_is_number(json_object_get(pair, "lower"))) {
        json_object_set_new(pair, "lower", json_real(-upper));
        json_object_set_new(pair, "upper", json_real(-lower));
    }
}

/* The words of an item, in the order of their keys. */
static char *words_of(const json_t *item)
{
    json_t *words = json_object();
    const char *key;
    json_t *value;
    if (json_is_object(item)) {
        json_object_foreach((json_t *)item, key, value)
            if (json_is_string(value))
                json_object_set(words, key, value);
    } else {
        json_object_set(words, "", (json_t *)item);
    }
    char *text = json_dumps(words, JSON_SORT_KEYS);
    json_decref(words);
    return text;
}

struct keyed { char *words; json_t *item; size_t at; };

static int by_words(const void *a, const void *b)
{
    const struct keyed *x = a, *y = b;
    int order = strcmp(x->words, y->words);
    return order ? order : x->at < y->at ? -1 : 1;
}

static void sort_items(json_t *array)
{
    size_t n = json_array_size(array);
    struct keyed *keyed = calloc(n + 1, sizeof *keyed);
    for (size_t i = 0; keyed && i < n; i++) {
        json_t *item = json_array_get(array, i);
        keyed[i] = (struct keyed){ words_of(item), json_incref(item), i };
    }
    qsort(keyed, n, sizeof *keyed, by_words);
    json_array_clear(array);
    for (size_t i = 0; i < n; i++) {
        json_array_append_new(array, keyed[i].item);
        free(keyed[i].words);
    }
    free(keyed);
}

/* One form for all that may be told in several. Arrays of numbers keep their order. */
static void settle(json_t *value, const char *prefix, bool scaled)
{
    static const char *const passed_over[] = { "line", "row", "path", "place", "files", "strength_class_by_mean", "kind_by_mean",
                                               "why_no_strength_class" };
    size_t n_passed_over = scaled ? sizeof passed_over / sizeof *passed_over : 5;
    const char *key;
    json_t *item;
    size_t i;
    if (json_is_string(value))
        take_out(prefix, value);
    for (i = 0; json_is_object(value) && i < n_passed_over; i++)
        json_object_del(value, passed_over[i]);
    if (json_is_object(value)) {
        json_object_foreach(value, key, item)
            settle(item, prefix, scaled);
        turn_round(value);
    }
    if (json_is_array(value)) {
        json_array_foreach(value, i, item)
            settle(item, prefix, scaled);
        if (!json_is_number(json_array_get(value, 0)))
            sort_items(value);
    }
}

static void compare(struct judge *judge, const json_t *a, const json_t *b, const char *place, double factor);

static void compare_numbers(struct judge *judge, const json_t *a, const json_t *b, const char *place, double factor)
{
    double x = json_number_value(a), y = json_number_value(b);
    if (json_is_real(a) || json_is_real(b))
        x *= factor;
    if (fabs(x - y) <= ABSOLUTE || fabs(x - y) <= RELATIVE * fmax(fabs(x), fabs(y)))
        return;
    char text[100];
    snprintf(text, sizeof text, "%.12g is %.12g", x, y);
    differ(judge, place, text);
}

static void compare_objects(struct judge *judge, const json_t *a, const json_t *b, const char *place, double factor)
{
    const char *key, *property = json_string_value(json_object_get(a, "property"));
    json_t *item;
    char below[600];
    bool strength = property && strcmp(property, "compressive_strength") == 0 && json_object_get(a, "difference");
    double told = judge->factor;
    if (json_is_true(json_object_get(a, "log_scale")))
        judge->factor = 1; /* logarithms shift, their differences stay */
    json_object_foreach((json_t *)a, key, item) {
        bool scaled = strcmp(key, "compressive_strength_mpa") == 0 || (strength && strcmp(key, "p_adjusted") != 0);
        snprintf(below, sizeof below, "%s.%s", place, key);
        compare(judge, item, json_object_get(b, key), below, scaled ? judge->factor : factor);
    }
    judge->factor = told;
    if (json_object_size(a) != json_object_size(b))
        differ(judge, place, "other keys");
}

static void compare_arrays(struct judge *judge, const json_t *a, const json_t *b, const char *place, double factor)
{
    if (json_array_size(a) != json_array_size(b))
        differ(judge, place, "another number of items");
    for (size_t i = 0; i < json_array_size(a) && i < json_array_size(b); i++) {
        char below[600], *words = words_of(json_array_get(a, i));
        snprintf(below, sizeof below, "%s[%zu %.200s]", place, i, words ? words : "");
        free(words);
        compare(judge, json_array_get(a, i), json_array_get(b, i), below, factor);
    }
}

static void compare_words(struct judge *judge, const json_t *a, const json_t *b, const char *place)
{
    if (json_equal((json_t *)a, (json_t *)b))
        return;
    char text[600];
    char *x = a ? json_dumps(a, JSON_ENCODE_ANY) : NULL, *y = b ? json_dumps(b, JSON_ENCODE_ANY) : NULL;
    snprintf(text, sizeof text, "%.250s is %.250s", x ? x : "nothing", y ? y : "nothing");
    differ(judge, place, text);
    free(x);
    free(y);
}

static void compare(struct judge *judge, const json_t *a, const json_t *b, const char *place, double factor)
{
    if (json_is_number(a) && json_is_number(b))
        compare_numbers(judge, a, b, place, factor);
    else if (json_is_object(a) && json_is_object(b))
        compare_objects(judge, a, b, place, factor);
    else if (json_is_array(a) && json_is_array(b))
        compare_arrays(judge, a, b, place, factor);
    else
        compare_words(judge, a, b, place);
}

int main(int argc, char **argv)
{
    if (argc < 3)
        return fputs("usage: same_answer A B [PREFIX [FACTOR]]\n", stderr), 2;
    json_error_t error;
    json_t *a = json_load_file(argv[1], 0, &error), *b = json_load_file(argv[2], 0, &error);
    if (!a || !b)
        return printf("%s: %s\n", error.source, error.text), 2;
    struct judge judge = { .prefix = argc > 3 ? argv[3] : "", .factor = argc > 4 ? strtod(argv[4], NULL) : 1 };
    settle(a, "", judge.factor != 1);
    settle(b, judge.prefix, judge.factor != 1);
    compare(&judge, a, b, "", 1);
    json_decref(a);
    json_decref(b);
    return judge.differences > 0;
}
