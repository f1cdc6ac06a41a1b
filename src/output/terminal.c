#include "output/terminal.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/ioctl.h>
#include <unistd.h>

#define COLUMNS_USUAL 80

static const char *variable(const char *name)
{
    const char *value = getenv(name);
    return value ? value : "";
}

static unsigned columns_of(int descriptor)
{
    struct winsize size = { 0 };
    long columns = strtol(variable("COLUMNS"), NULL, 10);
    if (descriptor >= 0 && isatty(descriptor) && ioctl(descriptor, TIOCGWINSZ, &size) == 0 && size.ws_col > 0)
        columns = size.ws_col;
    if (columns <= 0)
        columns = COLUMNS_USUAL;
    if (columns < TERMINAL_COLUMNS_LEAST)
        return TERMINAL_COLUMNS_LEAST;
    return columns > TERMINAL_COLUMNS_MOST ? TERMINAL_COLUMNS_MOST : (unsigned)columns;
}

static bool locale_is_utf8(void)
{
    static const char *const names[] = { "LC_ALL", "LC_CTYPE", "LANG" };
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        const char *value = variable(names[i]);
        const char *codeset = strchr(value, '.');
        if (*value)
            return codeset && (strncasecmp(codeset, ".utf-8", 6) == 0 || strncasecmp(codeset, ".utf8", 5) == 0);
    }
    return false;
}

struct terminal terminal_of(int descriptor)
{
    return (struct terminal){
        .columns = columns_of(descriptor),
        .colour = descriptor >= 0 && isatty(descriptor) && *variable("NO_COLOR") == '\0' && strcmp(variable("TERM"), "dumb") != 0,
        .utf8 = locale_is_utf8(),
    };
}
