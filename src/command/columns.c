/* Text in columns of a terminal: made safe, counted as the terminal counts (a letter may take two
 * columns, an accent none), cut at a letter's edge. */
#include "command/columns.h"

#include <limits.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <passo/error.h>
#include "text/fold.h"
#include "text/notation.h"

static const char more[] = "...";

/* A copy that is safe to show, and whole UTF-8; free it. */
static char *safe(const char *text)
{
    char *clean = passo_xcalloc(strlen(text) + 1, 1);
    passo_text_clean(text, clean, strlen(text) + 1);
    return clean;
}

int columns_of(const char *text)
{
    int columns = 0;
    char *shown = safe(text);
    (void)passo_text_fitting(shown, INT_MAX - 2, &columns);
    free(shown);
    return columns;
}

void columns_print(const char *text, int most, int width)
{
    int columns = 0;
    char *shown = safe(text);
    size_t bytes = passo_text_fitting(shown, most, &columns);
    bool cut = shown[bytes] != '\0';
    if (cut)
        bytes = passo_text_fitting(shown, most - (int)(sizeof more - 1), &columns);
    columns += cut ? (int)(sizeof more - 1) : 0;
    printf("%.*s%s%*s", (int)bytes, shown, cut ? more : "", width > columns ? width - columns : 0,
           "");
    free(shown);
}
