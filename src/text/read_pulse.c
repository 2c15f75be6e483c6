/* Readers of the pulse's lines. */
#include "text/reading.h"
#include "text/scan.h"
#include "text/settings.h"

#include <string.h>

#define WHAT_MAX 64

const char *read_count(const char *value, struct draft *draft)
{
    struct passo_pulse *pulse = &draft->setup->pulse;
    char what[WHAT_MAX];
    const char *fault = reading_below(value, draft, what, sizeof what, &pulse->count_below_mbpm);
    if (fault)
        return fault;
    /* A unit of 0 counts the groups. */
    if (scan_match(what, "groups|group", NULL))
        pulse->count = (struct passo_ratio){0, 1};
    else if (passo_note_value_read(what, &pulse->count))
        return "the counted unit is a note value, eighth, or groups; also eighth below 60";
    return NULL;
}

const char *read_subdivide(const char *value, struct draft *draft)
{
    struct passo_pulse *pulse = &draft->setup->pulse;
    char what[WHAT_MAX];
    int64_t clicks = 0;
    const char *fault =
        reading_below(value, draft, what, sizeof what, &pulse->subdivide_below_mbpm);
    if (fault)
        return fault;
    if (!scan_match(what, "none", NULL) &&
        (!scan_match(what, "#", &clicks) || !reading_fits(clicks, 2, 6)))
        return "a beat has 2 to 6 clicks, or none between; also 2 below 80";
    pulse->subdivide = (uint8_t)clicks;
    return NULL;
}

const char *read_swing(const char *value, struct draft *draft)
{
    struct passo_pulse *pulse = &draft->setup->pulse;
    int64_t number[2] = {0, 0};
    if (!scan_match(value, "straight", NULL) && !scan_match(value, "none", NULL) &&
        (!scan_match(value, "# : #", number) || !reading_fits(number[0], 1, 9) ||
         !reading_fits(number[1], 1, 9) || number[0] < number[1]))
        return "swing is long to short, 2:1 or 3:2, of numbers up to 9; or straight";
    pulse->swing_long = (uint8_t)number[0];
    pulse->swing_short = (uint8_t)number[1];
    return NULL;
}

const char *read_count_in(const char *value, struct draft *draft)
{
    int64_t bars = 0;
    if (!scan_match(value, "auto", NULL) &&
        (!scan_match(value, "# bar|bars", &bars) || !reading_fits(bars, 1, 4)))
        return "a count-in is 1 bar to 4 bars, or auto";
    draft->setup->pulse.count_in_bars = (uint8_t)bars;
    return NULL;
}

const char *read_leave_out(const char *value, struct draft *draft)
{
    static const char how[] = "clicks to leave out are bar, group, beat, sub, count-in (several "
                              "with commas), or none";
    static const struct {
        const char *words;
        unsigned bits;
    } click[] = {
        {"bar|bars", 1u << PASSO_CLICK_BAR},
        {"group|groups", 1u << PASSO_CLICK_GROUP},
        {"beat|beats", 1u << PASSO_CLICK_BEAT},
        {"sub|subs|subdivision|subdivisions", 1u << PASSO_CLICK_SUB},
        {"count-in", 1u << PASSO_CLICK_COUNT_BAR | 1u << PASSO_CLICK_COUNT},
        {"none", 0},
    };
    char part[WHAT_MAX];
    unsigned silent = 0;
    for (const char *at = value; scan_part(&at, ',', part, sizeof part);) {
        size_t i = 0;
        while (i < sizeof click / sizeof *click && !scan_match(part, click[i].words, NULL))
            i++;
        if (i == sizeof click / sizeof *click)
            return how;
        silent |= click[i].bits;
    }
    draft->setup->pulse.silent = (uint8_t)silent;
    return NULL;
}

const char *read_mute(const char *value, struct draft *draft)
{
    struct passo_pulse *pulse = &draft->setup->pulse;
    int64_t bars[2] = {0, 0};
    int64_t share = 0;
    bool drawn =
        scan_match(value, "% of bars", &share) || scan_match(value, "% of the bars", &share);
    bool none = scan_match(value, "none", NULL);
    if (!drawn && !none && !scan_match(value, "# of #", bars) &&
        !scan_match(value, "# bars|bar of #", bars))
        return "silent bars are written 2 of 4 (the last two of every four), 30 % of bars, or none";
    if (drawn ? !reading_fits(share, 1, 999)
              : !none && (!reading_fits(bars[1], 2, 64) || !reading_fits(bars[0], 1, bars[1] - 1)))
        return "some bars must sound: 2 of 4 (of at most 64), or 30 % of bars";
    pulse->mute_bars = (uint8_t)bars[0];
    pulse->mute_of = (uint8_t)bars[1];
    pulse->mute_permille = (uint16_t)(drawn ? share : 0);
    return NULL;
}

/* Which of the words a value is; `count` if it is none. */
static size_t one_of(const char *value, const char *const *words, size_t count)
{
    size_t i = 0;
    while (i < count && !scan_match(value, words[i], NULL))
        i++;
    return i;
}

const char *read_thin(const char *value, struct draft *draft)
{
    static const char *const words[PASSO_THIN_COUNT] = {
        [PASSO_THIN_NONE] = "none",
        [PASSO_THIN_HALVES] = "halves",
        [PASSO_THIN_BARS] = "bars",
        [PASSO_THIN_TWO_BARS] = "two bars",
        [PASSO_THIN_COUNT_IN] = "count-in only",
    };
    size_t thin = one_of(value, words, PASSO_THIN_COUNT);
    if (thin == PASSO_THIN_COUNT)
        return "the clicks that are left are halves (1 and 3), bars, two bars or count-in only; "
               "none thins nothing out";
    draft->setup->pulse.thin = (enum passo_thin)thin;
    return NULL;
}

const char *read_place(const char *value, struct draft *draft)
{
    static const char *const words[PASSO_PLACE_COUNT] = {
        [PASSO_PLACE_ON_BEAT] = "on the beat",
        [PASSO_PLACE_OFF_BEAT] = "off the beat",
        [PASSO_PLACE_BACK_BEAT] = "2 and 4",
    };
    size_t place = one_of(value, words, PASSO_PLACE_COUNT);
    if (place == PASSO_PLACE_COUNT)
        return "the clicks fall on the beat, off the beat, or 2 and 4";
    draft->setup->pulse.place = (enum passo_click_place)place;
    return NULL;
}

const char *read_volume(const char *value, struct draft *draft)
{
    int64_t share = 0;
    if (!scan_match(value, "%", &share) || !reading_fits(share, 0, 1000))
        return "the volume is a share from 0 % to 100 %";
    draft->setup->volume_permille = (int32_t)share;
    return NULL;
}

const char *read_sounds(const char *value, struct draft *draft)
{
    char *sounds = draft->setup->sounds;
    char shown[PASSO_PATH_BYTES];
    if (strlen(value) >= sizeof shown)
        return "a folder's path is shorter than 4096 bytes";
    if (strcmp(passo_text_clean(value, shown, sizeof shown), value))
        return "the name of a click set has no control characters";
    bool built_in = scan_match(value, "built in", NULL) || scan_match(value, "built-in", NULL);
    strcpy(sounds, built_in ? "" : value);
    return NULL;
}
