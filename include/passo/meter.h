/* Meter: how a bar is counted. Groups are what a conductor beats: 4/4 is 1+1+1+1, 6/8 is 3+3,
 * 7/8 may be 2+2+3. The counted unit is separate from the meter (6/8 in six or in two, 4/4 in
 * eight, four or two). Thread: any. Nothing allocates. */
#ifndef PASSO_METER_H
#define PASSO_METER_H

#include <passo/error.h>
#include <passo/ratio.h>
#include <stddef.h>

#define PASSO_METER_COUNT_MAX 64
#define PASSO_METER_BEATS_MAX 128

/* `count` notes of 1/`unit` a bar, in `groups` groups of group[i] notes each; they sum to count. */
struct passo_meter {
    uint8_t count;
    uint8_t unit;
    uint8_t groups;
    uint8_t group[PASSO_METER_COUNT_MAX];
};

/* How strongly a click is meant. Each differs in pitch, timbre and level. */
enum passo_click {
    PASSO_CLICK_BAR,       /* first beat of a bar */
    PASSO_CLICK_GROUP,     /* first beat of a later group, where a group holds several beats */
    PASSO_CLICK_BEAT,      /* any other counted beat */
    PASSO_CLICK_SUB,       /* subdivision of a beat */
    PASSO_CLICK_COUNT_BAR, /* "1" of a count-in bar */
    PASSO_CLICK_COUNT,     /* other beats of the count-in */
    PASSO_CLICK_COUNT_OF
};

/* How far the pulse is thinned out: what is left of the clicks of the body. */
enum passo_thin {
    PASSO_THIN_NONE,     /* all beats */
    PASSO_THIN_HALVES,   /* 1 and 3: every second beat of a bar of an even number, else the bar's
                            first */
    PASSO_THIN_BARS,     /* the first beat of each bar */
    PASSO_THIN_TWO_BARS, /* the first beat of every second bar */
    PASSO_THIN_COUNT_IN, /* nothing after the count-in */
    PASSO_THIN_COUNT
};

/* One counted beat of a bar: where it begins and how long it is, in whole notes. */
struct passo_beat {
    struct passo_ratio at;
    struct passo_ratio length;
    enum passo_click click; /* BAR, GROUP or BEAT */
};

/* count/unit with the usual groups (common practice): compound meters (6, 9, 12, 15 over 8, 16 or
 * 32; 6 and 9 over 4) in threes, every other meter in ones. PASSO_ERR_RANGE unless 1 <= count <=
 * 64 and unit is 1, 2, 4, 8, 16, 32 or 64. */
PASSO_MUST_CHECK enum passo_error passo_meter_init(struct passo_meter *out_meter, int64_t count,
                                                   int64_t unit);
/* The sum of the groups over `unit`, in those groups. PASSO_ERR_RANGE as above, or if a group is
 * under 1 or groups is 0. */
PASSO_MUST_CHECK enum passo_error passo_meter_init_groups(struct passo_meter *out_meter,
                                                          const uint8_t *group, size_t groups,
                                                          int64_t unit);
/* Whether both count the same notes in the same groups. */
bool passo_meter_same(const struct passo_meter *a, const struct passo_meter *b);
/* Length of a bar in whole notes. */
struct passo_ratio passo_meter_length(const struct passo_meter *meter);

/* The usual beat unit of the meter (common practice): the group if all groups are equal and longer
 * than one note (6/8: dotted quarter), else the meter's own unit (4/4: quarter, 7/8: eighth). */
struct passo_ratio passo_meter_beat_unit(const struct passo_meter *meter);

/* The counted beats of one bar, in order, when `unit` is counted; unit 0 counts the groups. A unit
 * that divides every group is counted in it; else one that divides the bar is counted from the
 * bar's start (4/4 in two, 3/4 in one); a unit that fits neither way counts the groups. Writes at
 * most PASSO_METER_BEATS_MAX beats to out_beats and returns how many; a unit so short that there
 * would be more counts the groups. Strengths: BAR first; GROUP on a beat that begins a later group
 * when some group holds more than one counted beat; else BEAT. */
size_t passo_meter_beats(const struct passo_meter *meter, struct passo_ratio unit,
                         struct passo_beat out_beats[PASSO_METER_BEATS_MAX]);

#endif
