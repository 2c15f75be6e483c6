/* What the readers of several lines share: tempi with their unit, and "... below TEMPO". */
#include "text/reading.h"
#include "text/scan.h"

#include <string.h>

bool reading_fits(int64_t number, int64_t least, int64_t most)
{
    return number >= least && number <= most;
}

const char *reading_tempo(const char *text, struct draft *draft, int32_t *out_mbpm)
{
    struct passo_ratio unit;
    enum passo_error error = passo_tempo_read(text, out_mbpm, &unit);
    if (error == PASSO_ERR_RANGE)
        return "a tempo is 5 to 1000 beats a minute, as 96 or 63.7";
    if (error)
        return "a tempo is a number, 96, or carries its note value, quarter = 96";
    if (unit.num)
        draft->unit[draft->now] = unit;
    return NULL;
}

const char *reading_below(const char *text, struct draft *draft, char *out_what, size_t bytes,
                          int32_t *out_mbpm)
{
    const char *below = strcasestr(text, " below ");
    size_t length = below ? (size_t)(below - text) : strlen(text);
    *out_mbpm = 0;
    if (length >= bytes)
        length = 0;
    memcpy(out_what, text, length);
    out_what[length] = '\0';
    return below ? reading_tempo(below + strlen(" below "), draft, out_mbpm) : NULL;
}
