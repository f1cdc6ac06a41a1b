#ifndef SPECIMEN_NAME_WALK_H
#define SPECIMEN_NAME_WALK_H

/*
 * A name letter by letter, as names are compared: blanks passed over, capitals
 * as small letters, and a Latin letter with an accent as the letter and its
 * accent, whether they were coded as one sign or as two. Start with at = name.
 */
struct name_walk {
    const char *at;
    unsigned char accent; /* still to come */
};

/* The next letter, 0 at the end. Not for showing: an accent is a number above 127. */
unsigned char name_walk_next(struct name_walk *walk);

#endif
