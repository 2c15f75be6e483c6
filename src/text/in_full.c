/* Values as they hold: what a chain, a fermata or a breath leaves to its default is said as well.
 */
#include "text/in_full.h"
#include "text/scan.h"
#include "text/settings.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#define PART_MAX 128 /* of a value that reads without a fault */

struct text {
    char *at;
    size_t bytes;
    size_t used;
};

static void put(struct text *text, const char *part)
{
    int added = snprintf(text->at + text->used, text->bytes - text->used, "%s%s",
                         text->used ? ", " : "", part);
    text->used += (size_t)added;
}

static void put_shape(struct text *text, const char *value)
{
    char part[PART_MAX];
    int64_t times = 0;
    bool held = false; /* a fermata waits for its preparation */
    for (const char *at = value; scan_part(&at, ',', part, sizeof part);) {
        const char *word = part;
        bool bare = scan_match(part, "fermata", NULL);
        if (held && !scan_word(&word, "then"))
            put(text, "then 1 beat");
        held = bare || scan_match(part, "fermata x ~", &times);
        put(text, bare ? "fermata x 2" : scan_match(part, "breath", NULL) ? "breath 1 beat" : part);
    }
    if (held)
        put(text, "then 1 beat");
}

static void put_chain(struct text *text, const char *value)
{
    bool overlaps = strcasestr(value, "halves") || strcasestr(value, "pieces");
    put(text, value);
    if (overlaps && !strcasestr(value, "overlapping"))
        put(text, "overlapping 1 beat");
}

char *in_full(const struct passo_line *line)
{
    bool chain = !strcasecmp(line->key, "chain") && strcmp(line->section, "variants") != 0;
    /* The longest that is added to the shortest part: "fermata," becomes 26 bytes. */
    struct text text = {.bytes = 4 * strlen(line->value) + 64};
    text.at = passo_xcalloc(text.bytes, 1);
    if (!strcmp(line->section, "shape"))
        put_shape(&text, line->value);
    else if (chain)
        put_chain(&text, line->value);
    else
        put(&text, line->value);
    return text.at;
}
