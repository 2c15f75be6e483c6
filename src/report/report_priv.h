/* How a report is gathered. A private header of the room. Thread: the main thread. */
#ifndef PASSO_REPORT_REPORT_PRIV_H
#define PASSO_REPORT_REPORT_PRIV_H

#include "report/report.h"

/* A beat unit as rows name it; some name it in words that cannot be read. */
struct gather_beat {
    char *name;
    struct passo_ratio value; /* 0/1: it cannot be read */
};

/* A pass, as small as may be: there are millions. */
struct gather_pass {
    int32_t mbpm; /* in its own beat unit */
    int32_t miss_bar;
    uint32_t day;  /* index into the place's days */
    uint16_t beat; /* index into the report's beat units */
    uint8_t mark;
    uint8_t part;
    uint8_t extra;
    uint8_t move;
    bool level;  /* the whole passage, or the context, at pitch */
    bool wins;   /* it won a rung */
    bool counts; /* it shows how well it goes */
};

/* One player's passage while rows come. */
struct gather_place {
    struct passo_report_passage passage; /* first: freed and handed out as one of these */
    uint64_t hash;
    struct gather_pass *pass;
    size_t passes;
    size_t pass_room;
    size_t session_room;
    size_t day_room;
    size_t day_now;     /* index of the last row's day */
    int32_t day_latest; /* of all so far */
    char session[64];
    uint32_t session_pass; /* the last number in it */
    size_t beat;           /* of the latest row; SIZE_MAX: of none yet */
    size_t target_beat;    /* of the latest row with a target, and that */
    int32_t target_mbpm;
};

struct passo_report_index {
    struct gather_place **slot; /* an open hash table; a power of 2 */
    size_t slots;
    size_t room;               /* of report->passage */
    struct gather_place *last; /* the place of the last row */
    struct gather_beat *beat;
    size_t beats;
    size_t beat_now; /* of the last row */
};

/* A tempo of one beat unit in another, to the thousandth, half up; as it is if either cannot be
 * read. */
int32_t gather_in_beat(int32_t mbpm, struct passo_ratio unit, struct passo_ratio beat);
/* Room for one more of an array of `count`. */
void *gather_room(void *array, size_t count, size_t *room, size_t bytes);
/* Of a place whose days are in order, with its passes day by day and in one beat unit: the secure
 * tempo of every day, the outlook and the spacing ... */
void gather_stand(struct gather_place *place, int32_t today, bool latest_only);
/* ... clean and missed by tempo, and the bars where misses fell. */
void gather_rungs(struct gather_place *place);
void gather_bars(struct gather_place *place);
/* Ascending by tempo. */
int gather_by_tempo(const void *a, const void *b);
/* Takes near tempi together until there are at most `most`: the two of the least ratio first, as
 * the one that was played more. Ascending. Returns how many are left. */
size_t gather_merge(struct passo_report_rung *rung, size_t rungs, size_t most);

#endif
