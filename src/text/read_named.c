/* Readers of the lines that the player names: loops and variants. Each adds one to the passage;
 * draft->own is the line. */
#include "text/lines.h"
#include "text/reading.h"
#include "text/scan.h"

#include <stdio.h>
#include <string.h>
#include <strings.h>

#define OCTAVES_MAX 4
#define GROUP_MIN   2
#define GROUP_MAX   8

/* The name of a loop or variant, safe to show. NULL, or what would do. */
static const char *read_name(const char *name, const char *taken, char out[PASSO_NAME_MAX])
{
    passo_text_clean(name, out, PASSO_NAME_MAX);
    if (!*name)
        return "a name is missing before the =";
    if (strlen(name) >= PASSO_NAME_MAX)
        return "a name has at most 47 bytes";
    if (!strcasecmp(name, taken))
        return "this name is taken: it is always there; choose another";
    return NULL;
}

const char *read_loop(const char *value, struct draft *draft)
{
    struct passo_passage *passage = &draft->setup->passage;
    struct passo_loop loop = {0};
    if (passage->loops == PASSO_LOOPS_MAX)
        return "a passage has at most 127 loops";
    const char *fault = read_name(draft->own->key, "whole", loop.name);
    if (!fault)
        fault = range_read(value, &draft->loop[passage->loops]);
    if (fault)
        return fault;
    draft->loop_line[passage->loops] = draft->own;
    passage->loop[passage->loops++] = loop;
    return NULL;
}

/* What a part says of touch: the word alone, or of all notes. */
static bool read_touch(const char *part, struct passo_variant *variant)
{
    static const struct {
        const char *pattern;
        enum passo_touch touch;
    } touches[] = {{"tongued", PASSO_TOUCH_TONGUED},
                   {"slurred", PASSO_TOUCH_SLURRED},
                   {"staccato", PASSO_TOUCH_STACCATO}};
    const char *at = part;
    if (!scan_word(&at, "all"))
        at = part;
    for (size_t i = 0; i < sizeof touches / sizeof *touches; i++)
        if (scan_match(at, touches[i].pattern, NULL)) {
            variant->touch = (uint8_t)touches[i].touch;
            return true;
        }
    return false;
}

/* What a part says of rhythm. Groups that nobody holds (of 12) are only words. */
static void read_rhythm(const char *part, struct passo_variant *variant)
{
    static const struct {
        const char *pattern;
        enum passo_rhythm rhythm;
    } rhythms[] = {{"dotted", PASSO_RHYTHM_DOTTED},
                   {"dotted rhythm", PASSO_RHYTHM_DOTTED},
                   {"long-short", PASSO_RHYTHM_DOTTED},
                   {"long short", PASSO_RHYTHM_DOTTED},
                   {"reversed dotted", PASSO_RHYTHM_REVERSED},
                   {"reversed dotted rhythm", PASSO_RHYTHM_REVERSED},
                   {"short-long", PASSO_RHYTHM_REVERSED},
                   {"short long", PASSO_RHYTHM_REVERSED},
                   {"groups of #", PASSO_RHYTHM_HELD},
                   {"held first of #", PASSO_RHYTHM_HELD}};
    for (size_t i = 0; i < sizeof rhythms / sizeof *rhythms; i++) {
        int64_t group = 0;
        if (!scan_match(part, rhythms[i].pattern, &group))
            continue;
        const bool held = rhythms[i].rhythm == PASSO_RHYTHM_HELD;
        if (held && !reading_fits(group, GROUP_MIN, GROUP_MAX))
            return;
        variant->rhythm = (uint8_t)rhythms[i].rhythm;
        variant->group = (uint8_t)group;
        return;
    }
}

/* One part of a variant: an octave, or what the player is told. False if it is a wrong octave. */
static bool read_way(const char *part, struct passo_variant *variant)
{
    int64_t octave = 0;
    const char *at = part;
    if (scan_match(part, "octave down", NULL) || scan_match(part, "octave below", NULL)) {
        variant->octave = -1;
    } else if (scan_match(part, "octave up", NULL) || scan_match(part, "octave above", NULL)) {
        variant->octave = 1;
    } else if (scan_match(part, "octave #", &octave)) {
        variant->octave = (int8_t)(reading_fits(octave, -OCTAVES_MAX, OCTAVES_MAX) ? octave : 0);
        return reading_fits(octave, -OCTAVES_MAX, OCTAVES_MAX);
    } else if (scan_word(&at, "octave")) {
        return false;
    } else {
        size_t used = strlen(variant->caption);
        if (used && *part && used + 2 < sizeof variant->caption) {
            strcpy(variant->caption + used, ", ");
            used += 2;
        }
        passo_text_clean(part, variant->caption + used, sizeof variant->caption - used);
        if (!read_touch(part, variant))
            read_rhythm(part, variant);
    }
    return true;
}

const char *read_variant(const char *value, struct draft *draft)
{
    struct passo_passage *passage = &draft->setup->passage;
    struct passo_variant variant = {0};
    char part[4 * PASSO_TEXT_MAX]; /* longer than what a caption keeps of it */
    if (passage->variants == PASSO_VARIANTS_MAX)
        return "a passage has at most 15 variants";
    const char *fault = read_name(draft->own->key, "as written", variant.name);
    if (fault)
        return fault;
    for (const char *at = value; scan_part(&at, ',', part, sizeof part);)
        if (!read_way(part, &variant))
            return "an octave is written octave -1 (from -4 to 4), octave down or octave up";
    passage->variant[passage->variants++] = variant;
    return NULL;
}
