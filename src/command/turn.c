/* Names as the player wrote them in the passage's file; what there is to choose from is told with
 * one that is not known. Pure. */
#include "command/turn.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include "text/notation.h"

enum { SHARE_MOST_PERMILLE = 2000 };

static int loop_of(const struct passo_passage *passage, const char *name)
{
    for (size_t i = 0; i < passage->loops; i++)
        if (strcasecmp(passage->loop[i].name, name) == 0)
            return (int)i;
    return -1;
}

static int variant_of(const struct passo_passage *passage, const char *name)
{
    for (size_t i = 0; i < passage->variants; i++)
        if (strcasecmp(passage->variant[i].name, name) == 0)
            return (int)i;
    return -1;
}

static void add_name(char *list, size_t bytes, const char *name)
{
    const size_t used = strlen(list);
    snprintf(list + used, bytes - used, "%s%s", used ? ", " : "", name);
}

static void tell_unknown(const struct passo_passage *passage, const char *name,
                         struct passo_faults *faults)
{
    char known[512] = "";
    char clean[512];
    char shown[64];
    for (size_t i = 0; i < passage->loops; i++)
        add_name(known, sizeof known, passage->loop[i].name);
    for (size_t i = 0; i < passage->variants; i++)
        add_name(known, sizeof known, passage->variant[i].name);
    passo_fault(faults, "--only %s: there is no loop or variant of that name; there are: %s",
                passo_text_clean(name, shown, sizeof shown),
                passo_text_clean(known, clean, sizeof clean));
}

/* False: it is neither, or its kind was named before. */
static bool take(const struct passo_passage *passage, const char *name, struct turn_named *named)
{
    const int loop = named->loop < 0 ? loop_of(passage, name) : -1;
    const int variant = loop < 0 && named->variant < 0 ? variant_of(passage, name) : -1;
    if (loop >= 0)
        named->loop = loop;
    if (variant >= 0)
        named->variant = variant;
    return loop >= 0 || variant >= 0;
}

struct turn_named turn_find(const struct passo_passage *passage, const char *names,
                            struct passo_faults *faults)
{
    struct turn_named named = {-1, -1};
    char part[2 * PASSO_NAME_MAX];
    const char *at = names ? names : "";
    /* A name may have a comma of its own. */
    if (!*at || take(passage, at, &named))
        return named;
    while (*at) {
        size_t length = strcspn(at, ",");
        const char *next = at + length + (at[length] == ',');
        const size_t blanks = strspn(at, " ");
        at += blanks < length ? blanks : length;
        length -= blanks < length ? blanks : length;
        while (length > 0 && at[length - 1] == ' ')
            length--;
        snprintf(part, sizeof part, "%.*s", (int)(length < sizeof part ? length : sizeof part - 1),
                 at);
        if (!take(passage, part, &named))
            tell_unknown(passage, part, faults);
        at = next;
    }
    return named;
}

/* "80 %", "62.5 %"; in thousandths, 0: it is no share. */
static int32_t share_permille(const char *text)
{
    char *end;
    const double share = strtod(text, &end);
    if (end == text || strpbrk(text, "xXnN=") || !(share > 0 && share * 10 <= SHARE_MOST_PERMILLE))
        return 0;
    end += strspn(end, " ");
    return strcmp(end, "%") == 0 ? (int32_t)(share * 10 + 0.5) : 0;
}

int32_t turn_tempo(const char *text, const struct passo_setup *setup, struct passo_faults *faults)
{
    char shown[64];
    struct passo_ratio unit;
    int32_t mbpm = 0;
    const int32_t permille = share_permille(text);
    if (permille)
        mbpm = passo_tempo_share(setup->rule.target_mbpm, permille);
    else if (passo_tempo_read(text, &mbpm, &unit) == PASSO_OK)
        mbpm = passo_tempo_in_beat(mbpm, unit, setup->passage.beat);
    if (mbpm >= PASSO_TEMPO_MIN_MBPM && mbpm <= PASSO_TEMPO_MAX_MBPM)
        return mbpm;
    passo_fault(faults,
                "--tempo %s: a tempo from 5 to 1000 is wanted, such as 80 or \"quarter = 80\", or "
                "a share of the target: \"80 %%\"",
                passo_text_clean(text, shown, sizeof shown));
    return 0;
}
