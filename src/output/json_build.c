#include "output/json_build.h"

#include "base/memory.h"
#include "output/escape.h"

#include <math.h>

static void *allocate(size_t size)
{
    return memory_new(size, 1);
}

void json_build_start(struct json_build *build)
{
    json_set_alloc_funcs(allocate, memory_free);
    *build = (struct json_build){ .root = json_object() };
    build->failed = build->root == NULL;
}

/* Takes value; NULL counts as a failure. */
static json_t *put(struct json_build *build, json_t *object, const char *key, json_t *value)
{
    if (build->failed || !value || json_object_set_new(object, key, value) != 0) {
        build->failed = true;
        return NULL;
    }
    return value;
}

static json_t *append(struct json_build *build, json_t *array, json_t *value)
{
    if (build->failed || !value || json_array_append_new(array, value) != 0) {
        build->failed = true;
        return NULL;
    }
    return value;
}

static json_t *number(double value)
{
    return isfinite(value) ? json_real(value == 0 ? 0.0 : value) : json_null(); /* -0 shows as 0 */
}

static json_t *string(const char *value)
{
    if (!value || !*value)
        return json_null();
    struct text valid = { 0 };
    escape_utf8(&valid, value);
    json_t *made = valid.failed ? NULL : json_string(valid.bytes);
    text_release(&valid);
    return made;
}

json_t *json_put_object(struct json_build *build, json_t *object, const char *key)
{
    return build->failed ? NULL : put(build, object, key, json_object());
}

json_t *json_put_array(struct json_build *build, json_t *object, const char *key)
{
    return build->failed ? NULL : put(build, object, key, json_array());
}

void json_put_number(struct json_build *build, json_t *object, const char *key, double value)
{
    if (!build->failed)
        put(build, object, key, number(value));
}

void json_put_count(struct json_build *build, json_t *object, const char *key, size_t value)
{
    if (!build->failed)
        put(build, object, key, json_integer((json_int_t)value));
}

void json_put_bool(struct json_build *build, json_t *object, const char *key, bool value)
{
    if (!build->failed)
        put(build, object, key, json_boolean(value));
}

void json_put_text(struct json_build *build, json_t *object, const char *key, const char *value)
{
    if (!build->failed)
        put(build, object, key, string(value));
}

json_t *json_append_object(struct json_build *build, json_t *array)
{
    return build->failed ? NULL : append(build, array, json_object());
}

void json_append_text(struct json_build *build, json_t *array, const char *value)
{
    if (!build->failed)
        append(build, array, string(value));
}

static int dump(const char *bytes, size_t length, void *out)
{
    text_add_bytes(out, bytes, length);
    return ((struct text *)out)->failed ? -1 : 0;
}

static enum status add_root(struct json_build *build, size_t flags, struct text *out)
{
    bool good = !build->failed && json_dump_callback(build->root, dump, out, flags | JSON_REAL_PRECISION(17)) == 0;
    json_decref(build->root);
    build->root = NULL;
    out->failed = out->failed || !good; /* half an object is no answer */
    return out->failed ? STATUS_MEMORY : STATUS_OK;
}

enum status json_build_finish(struct json_build *build, struct text *out)
{
    (void)add_root(build, JSON_INDENT(2), out);
    text_add(out, "\n");
    return out->failed ? STATUS_MEMORY : STATUS_OK;
}

enum status json_build_line(struct json_build *build, struct text *out)
{
    return add_root(build, JSON_COMPACT, out);
}
