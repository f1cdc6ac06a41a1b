#ifndef OUTPUT_JSON_BUILD_H
#define OUTPUT_JSON_BUILD_H

#include "base/status.h"
#include "base/text.h"

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>

/*
 * A JSON answer under construction. Every call checks its library call; the
 * first failure (memory) sticks in failed and the rest do nothing, so that a
 * key is never missing in an answer that was written.
 */
struct json_build { json_t *root; bool failed; };

/* Starts an object and routes jansson's memory through base/memory.h. */
void json_build_start(struct json_build *build);

/* Adds to an object under key. Return the new child, owned by the root; NULL after a failure (allowed as `object` again). */
json_t *json_put_object(struct json_build *build, json_t *object, const char *key);
json_t *json_put_array(struct json_build *build, json_t *object, const char *key);
void json_put_number(struct json_build *build, json_t *object, const char *key, double value); /* NaN and infinities: null */
void json_put_count(struct json_build *build, json_t *object, const char *key, size_t value);
void json_put_bool(struct json_build *build, json_t *object, const char *key, bool value);
void json_put_text(struct json_build *build, json_t *object, const char *key, const char *value); /* NULL and "": null */

json_t *json_append_object(struct json_build *build, json_t *array);
void json_append_text(struct json_build *build, json_t *array, const char *value);

/* Adds the whole object to out (17 digits, keys in the order added) and releases it. STATUS_MEMORY after any failure. */
enum status json_build_finish(struct json_build *build, struct text *out); /* indented, with a line end */
enum status json_build_line(struct json_build *build, struct text *out);   /* compact, without one */

#endif
