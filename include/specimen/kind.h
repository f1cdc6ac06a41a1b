#ifndef SPECIMEN_KIND_H
#define SPECIMEN_KIND_H

#include "specimen/specimen.h"

/*
 * What a specimen is as far as its strength goes: a cube reads higher than a
 * cylinder of the same concrete, a small one higher than a large one, and
 * centre-point loading higher than third-point. The size is a cube's edge, a
 * cylinder's or core's diameter, a beam's or slab's depth, to the next 5 mm
 * (1 mm when small); NaN = not told.
 */
struct specimen_kind {
    enum shape shape;
    enum loading loading;
    double size_mm;
};

/* The kind of a derived specimen; the usual loading of its shape when none was told. */
struct specimen_kind specimen_kind_of(const struct specimen *specimen);

/* The same, quicker when it is likely that of the specimen before. */
struct specimen_kind specimen_kind_after(const struct specimen *specimen, struct specimen_kind before);

/* Alike in shape and loading, and in size to within a tenth: moulds of one size differ by less, sizes of moulds by more. */
bool specimen_kind_same(struct specimen_kind a, struct specimen_kind b);

/* Whether a kind is of those that `wanted` means; what it does not tell (UNKNOWN, NaN) is left open. */
bool specimen_kind_meant(struct specimen_kind wanted, struct specimen_kind kind);

/*
 * "cube 100 mm", "beam third-point 100 mm", "cylinder splitting 6 in", the
 * size to the next 5 mm or quarter inch; "no shape" when none was told. A loading is said where it is not the axial one.
 */
void specimen_kind_words(struct specimen_kind kind, bool us, char *out, size_t size);

/*
 * Reads such words back, in any order and each of them optional: "cube",
 * "cylinder 150mm", "third-point". STATUS_USAGE with a sentence that names `what`.
 */
enum status specimen_kind_parse(const char *text, const char *what, struct specimen_kind *wanted, struct problem *problem);

#endif
