/* The ladder: which tempo comes next. State is a pure function of (rule, list of events): undo is
 * replay without the last mark, resume is replay of the log. The parts and the fine print (1 to
 * 12) are design.md section 5; comments below name the fine print by number. Thread: any. Pure:
 * no I/O, no clock, no allocation. */
#ifndef PASSO_LADDER_H
#define PASSO_LADDER_H

#include <passo/passage.h>

#define PASSO_RUNGS_MAX 1024
#define PASSO_LIFT_MAX  8

enum passo_steps {
    PASSO_STEPS_BPM,     /* step_mbpm up at a time */
    PASSO_STEPS_PERCENT, /* rung k is start * (1 + step_permille/1000)^k */
    PASSO_STEPS_POINTS,  /* start + k * step_permille/1000 of the target */
    PASSO_STEPS_RUNGS,   /* step_rungs rungs in equal ratios, ends included */
    PASSO_STEPS_MARKS,   /* the traditional graded scale 40 42 ... 208 */
    PASSO_STEPS_REST,    /* a share (step_permille) of what remains, whole beats, at least 2 */
    PASSO_STEPS_LIST,    /* list_mbpm, ascending; its ends are start and target (which may be 0) */
    PASSO_STEPS_COUNT
};

/* What the rungs are. */
enum passo_climbs {
    PASSO_CLIMBS_TEMPO,
    PASSO_CLIMBS_LENGTH, /* the loops of a chain, all at the target tempo; start and steps say
                            nothing */
    PASSO_CLIMBS_MIXED,  /* tempos in drawn order, never one twice running while others are left: a
                            clean pass puts its rung away, a miss leaves it in; won when none is
                            left. raise, drop, lift say nothing. Under a ceiling all come in again
                            once all up to it are away. Where an earlier day lets it open higher,
                            the first pass is at that rung; else it is drawn too */
    PASSO_CLIMBS_EDGE,   /* up a step with each clean pass until a miss, then half way between the
                            highest clean and the lowest miss, until they are at most edge_within
                            apart: the edge. raise, drop, lift say nothing; steps are bpm. By
                            hand the search stays between the two; a clean ceiling ends it */
    PASSO_CLIMBS_CHECK,  /* no climb: one pass at the target, clean: WON, without a mark: DONE;
                            after a miss one more at the start, never a third: MISSES, however it
                            goes. A void pass is played again. No hand moves it. Start under
                            target: two rungs. Of the other parts only rest and stop_ms say
                            something */
    PASSO_CLIMBS_BLOCK,  /* no climb: passes at the one tempo, the target, until stop_passes were
                            played or stop_ms are over: DONE. Nobody is asked how they went and no
                            mark is looked at, but for VOID: a pass that a pause broke off is played
                            again. Of the other parts only rest says something */
    PASSO_CLIMBS_COUNT
};
/* CHECK and BLOCK are made by the program, never said in a file, and stand alone: a course with one
 * has one stage. */
/* MIXED and EDGE with several turns: each rung asks for all of them, one clean pass each, and a
 * miss settles it at once; turn and miss say nothing. */
enum passo_drop_counts {
    PASSO_DROP_COUNTS_IN_A_ROW,
    PASSO_DROP_COUNTS_HERE,          /* on this rung and turn, in all */
    PASSO_DROP_COUNTS_IN_A_ROW_HERE, /* on this rung and turn since its last clean pass, other turns
                                        between or not */
    PASSO_DROP_COUNTS_COUNT
};
enum passo_drop { PASSO_DROP_RUNGS, PASSO_DROP_TO_START, PASSO_DROP_HOLD, PASSO_DROP_COUNT };
enum passo_miss { PASSO_MISS_AGAIN, PASSO_MISS_FIRST_TURN, PASSO_MISS_COUNT };
enum passo_turning {
    PASSO_TURN_EVERY_RUNG,
    PASSO_TURN_EVERY_PASS,
    PASSO_TURN_WHOLE_CLIMB,
    PASSO_TURN_COUNT
};
enum passo_unmarked {
    PASSO_UNMARKED_HOLD,
    PASSO_UNMARKED_WAIT,
    PASSO_UNMARKED_CLEAN,
    PASSO_UNMARKED_MISS,
    PASSO_UNMARKED_COUNT
};

/* The rule: one field or group a line of the design's table. passo_rule_default() gives every
 * default; the target has none. */
struct passo_rule {
    int32_t target_mbpm;
    int32_t full_mbpm;  /* 100 %: what shares and points are of, where a stage has a target of its
                           own; 0: the target */
    int32_t start_mbpm; /* > 0, or 0: start_permille of the target, to a hundredth, half up */
    int32_t start_permille; /* 600 */
    enum passo_climbs climbs;
    uint16_t lengths;         /* LENGTH: rungs, the loops of the chain; the course sets it */
    int32_t edge_within_mbpm; /* EDGE: 4000 */
    uint64_t seed;            /* MIXED: of the drawn order */
    int32_t ceiling_mbpm;     /* the teacher's highest tempo for today: the climb goes round on the
                                 highest rung up to it, turn after turn, and does not rise; 0 none;
                                 LENGTH: not under the target */
    enum passo_steps steps;
    int32_t step_mbpm;     /* 4000 */
    int32_t step_permille; /* of PERCENT, POINTS and REST */
    int32_t step_rungs;
    int32_t list_mbpm[PASSO_RUNGS_MAX];
    uint16_t list_count;
    uint8_t raise_clean; /* 2 */
    uint8_t raise_of;    /* 0: in a row; else a window of 1 to 32 marks */
    bool raise_coins;    /* raise_clean coins: a clean pass moves one across, a miss one back */
    enum passo_drop drop;
    uint16_t drop_rungs; /* 1 */
    uint8_t drop_misses; /* 2 */
    enum passo_drop_counts drop_counts;
    enum passo_miss miss;
    int8_t lift[PASSO_LIFT_MAX]; /* {1} */
    uint8_t lifts;
    enum passo_turning turn;
    int32_t anchor_permille; /* 0: none; none either where it would be faster than the pass */
    uint8_t over_passes;     /* 0: none */
    int32_t over_permille;
    uint8_t close_clean;     /* 0: none */
    bool close_thins;        /* instead: each clean pass thins the pulse one stage, a miss gives one
                                back, until one is clean with no click after the count-in */
    uint8_t finish_passes;   /* 1; 0: none */
    uint8_t put_away_passes; /* after the finish so many at ... */
    int32_t put_away_permille; /* ... this share of the target; part EASY; 0: none */
    uint8_t plateau_drops;     /* 2; 0: none */
    uint8_t
        plateau_clean; /* after a plateau at the best tempo won until so many are clean; 0: none */
    uint8_t tired_misses;    /* 3; 0: none */
    uint8_t tired_of;        /* 5; 1 to 32 */
    int64_t tired_played_ms; /* or after so much playing; 0: none */
    int64_t stop_ms;         /* 20 min; 0: none */
    uint16_t stop_passes;    /* 0: none */
    uint16_t stop_misses;    /* in a row; 0: none */
    /* The same of this stage alone, from its beginning: it ends, and the next stage begins. */
    int64_t stage_ms;
    uint16_t stage_passes;
    uint16_t stage_misses;
    bool leads_on; /* a stage follows: a won, ceilinged or ended stage has no finish of its own, and
                      what ends the climb comes before what ends the stage alone, its win too: the
                      outcome is then TIRED, TIME, PASSES or MISSES without stage_ended */
    enum passo_unmarked unmarked;
    int32_t rest_permille; /* of the time played: 1000; 0: rest_fixed_ms */
    int32_t rest_fixed_ms;
    int32_t rest_least_ms; /* 6000; these two bound a rest that is a share of the playing */
    int32_t rest_most_ms;  /* 60000; 0: no bound */
    bool cold;
    /* Where the climb opens. Of an earlier day: */
    int32_t
        resume_permille;  /* 850: of its best clean tempo, 50 less a missed day, at least 600, to a
                             whole beat a minute (half up), but not under the start; 0: see next */
    uint8_t resume_rungs; /* so many rungs under the highest rung up to it; both 0: at the start */
    int32_t past_mbpm; /* its best clean tempo; 0: nothing is known, the climb opens at the start */
    uint16_t past_length; /* LENGTH: the longest clean, from 1; 0 nothing is known */
    uint16_t past_missed; /* days between without practice */
};

enum passo_mark {
    PASSO_MARK_NONE, /* unmarked */
    PASSO_MARK_CLEAN,
    PASSO_MARK_MISS,
    PASSO_MARK_VOID,
    PASSO_MARK_COUNT
};

/* What kind of pass is played. Only CLIMB passes move the ladder (11). */
enum passo_part {
    PASSO_PART_COLD,
    PASSO_PART_CLIMB,
    PASSO_PART_ANCHOR,
    PASSO_PART_OVER,
    PASSO_PART_CLOSE,
    PASSO_PART_CONTEXT,
    PASSO_PART_EASY,
    PASSO_PART_DONE, /* nothing more to play */
    PASSO_PART_COUNT
};

#define PASSO_EXTEND_MS     120000
#define PASSO_EXTEND_PASSES 4

enum passo_event_type {
    PASSO_LADDER_PASS,   /* a pass was played; `mark` says how it went */
    PASSO_LADDER_EASIER, /* by hand: one rung down */
    PASSO_LADDER_HARDER, /* by hand: one rung up */
    PASSO_LADDER_TURN,   /* by hand: the next turn */
    PASSO_LADDER_QUIT,   /* the player stops */
    PASSO_LADDER_EXTEND, /* by hand: PASSO_EXTEND_MS more until the time is up, the climb's and the
                            stage's, and PASSO_EXTEND_PASSES more passes, where they are limited;
                            nothing once the climbing is over */
    PASSO_LADDER_EVENT_COUNT
};

/* One event. Of a pass: where it was played (as passo_plan said) and when it ended. A pass that
 * was played elsewhere than the ladder now stands (a hand moved it, or an undo, while it was
 * played) is recorded and moves nothing. A NONE mark is worked in as the rule's `unmarked` says. */
struct passo_ladder_event {
    enum passo_event_type type;
    enum passo_mark mark;
    enum passo_part part;
    uint16_t rung;
    uint8_t turn;
    uint8_t stage;
    int64_t elapsed_ms; /* audio clock at the end of the pass, for `stop` */
    int64_t played_ms;  /* played so far in the climb, this pass counted in, for `tired` */
};

enum passo_move {
    PASSO_MOVE_NONE, /* nothing to say: an uncounted pass */
    PASSO_MOVE_RAISED,
    PASSO_MOVE_DROPPED,
    PASSO_MOVE_HELD,
    PASSO_MOVE_WON, /* the target rung is won; with NEXT_CLIMB by one turn of several */
    PASSO_MOVE_PLATEAU,
    PASSO_MOVE_TIRED,
    PASSO_MOVE_STOPPED,
    PASSO_MOVE_EASIER,
    PASSO_MOVE_HARDER,
    PASSO_MOVE_COUNT
};

/* Why. The session puts it into words. */
enum passo_reason {
    PASSO_REASON_NONE,
    PASSO_REASON_RUNG_WON,       /* the raise rule was met */
    PASSO_REASON_LIFT_BACK,      /* won, and `lift` says back */
    PASSO_REASON_LIFT_CLAMPED,   /* won, and `lift` could not move further down */
    PASSO_REASON_NEXT_TURN,      /* this turn has met the raise rule, or every pass turns */
    PASSO_REASON_CLEAN,          /* clean, more needed */
    PASSO_REASON_MISS,           /* a miss that moves nothing */
    PASSO_REASON_FIRST_TURN,     /* a miss: the round begins again */
    PASSO_REASON_DROP,           /* the drop rule was met */
    PASSO_REASON_DROP_AT_BOTTOM, /* ... on the bottom rung: held */
    PASSO_REASON_UNMARKED,
    PASSO_REASON_VOID,
    PASSO_REASON_ELSEWHERE, /* played where the ladder no longer stands */
    PASSO_REASON_UNCOUNTED, /* cold, anchor, over, close, context, easy */
    PASSO_REASON_TARGET_WON,
    PASSO_REASON_NEXT_CLIMB, /* `whole climb`: this turn has climbed, the next begins */
    PASSO_REASON_NEXT_STAGE, /* this stage is won, the next begins */
    PASSO_REASON_CEILING,  /* won, and the teacher's ceiling lets it rise no further: round again */
    PASSO_REASON_PUT_AWAY, /* MIXED: clean, its rung is done */
    PASSO_REASON_STAYS_IN, /* MIXED: a miss, its rung stays in */
    PASSO_REASON_EDGE_UP,  /* EDGE: clean, a step up */
    PASSO_REASON_EDGE_HALF,  /* EDGE: half way between the highest clean and the lowest miss */
    PASSO_REASON_EDGE_FOUND, /* EDGE: they are near enough */
    PASSO_REASON_THINNER,    /* close: clean, one stage fewer clicks */
    PASSO_REASON_FULLER,     /* close: a miss, one stage back */
    PASSO_REASON_PLATEAU,
    PASSO_REASON_TIRED,
    PASSO_REASON_TIME,
    PASSO_REASON_PASSES,
    PASSO_REASON_MISSES,
    PASSO_REASON_QUIT,
    PASSO_REASON_BY_HAND,
    PASSO_REASON_EXTENDED,  /* by hand: more time, more passes */
    PASSO_REASON_TOUCHED,   /* CHECK: played, on to the next */
    PASSO_REASON_ONCE_MORE, /* CHECK: a miss, one more at the start */
    PASSO_REASON_PLAYED,    /* BLOCK: a pass, or the last */
    PASSO_REASON_COUNT
};

enum passo_outcome {
    PASSO_OUTCOME_OPEN, /* still climbing */
    PASSO_OUTCOME_WON,
    PASSO_OUTCOME_PLATEAU,
    PASSO_OUTCOME_EDGE, /* the edge is found */
    PASSO_OUTCOME_TIRED,
    PASSO_OUTCOME_TIME,
    PASSO_OUTCOME_PASSES,
    PASSO_OUTCOME_MISSES,
    PASSO_OUTCOME_QUIT,
    PASSO_OUTCOME_DONE, /* BLOCK: played as long as it was to be; CHECK: touched once more */
    PASSO_OUTCOME_COUNT
};

/* A rule made ready: its rungs and the number of turns. */
struct passo_ladder {
    struct passo_rule rule;
    uint8_t turns;
    uint16_t rungs;
    uint16_t opening;   /* the rung on which the climb (under `whole climb` each turn's) begins */
    uint16_t highest;   /* the rung that the ceiling allows; without one rungs - 1 */
    uint16_t edge_step; /* EDGE: rungs to a step, a power of 2 */
    int32_t rung_mbpm[PASSO_RUNGS_MAX];
};

/* Where the climb stands. Read the named fields; passo_ladder_apply() alone writes them. */
struct passo_ladder_state {
    enum passo_part part;   /* of the pass to come; DONE at the end */
    enum passo_part resume; /* what an anchor pass interrupts */
    uint16_t rung;
    uint8_t turn;
    uint8_t anchor_turn; /* of an anchor pass: the turn just played */
    uint8_t cleans;      /* in a row, on this rung and turn */
    uint8_t misses;      /* in a row, likewise */
    uint32_t window;     /* bit 0 is the latest mark, 1 = clean; window_marks are valid */
    uint8_t window_marks;
    uint8_t coins;
    uint8_t misses_here[PASSO_TURNS_MAX];
    uint8_t misses_row_here[PASSO_TURNS_MAX]; /* since that turn's last clean */
    uint32_t wins;                            /* since lift began its cycle (6) */
    uint8_t drops_from[PASSO_RUNGS_MAX];
    uint64_t put_away[PASSO_RUNGS_MAX / 64]; /* MIXED: rungs that are done */
    uint32_t drawn;                          /* MIXED: how many were drawn */
    int32_t edge_clean;                      /* EDGE: highest clean rung, -1 none */
    int32_t edge_miss;                       /* EDGE: lowest missed rung, `rungs` none */
    int32_t best_rung;                       /* highest rung won, -1 none */
    int32_t best_clean_rung;                 /* highest rung with a clean counted mark, -1 none */
    uint32_t passes;                         /* counted passes of the climbing */
    uint32_t misses_run;                     /* misses in a row over the whole climb */
    uint32_t recent; /* bit 0 latest counted mark, 1 = miss; recent_marks are valid */
    uint8_t recent_marks;
    uint8_t unmarked_run;
    uint8_t assumed_run;
    uint8_t over_left;
    uint8_t close_left;
    uint8_t finish_left;
    uint8_t put_away_left;
    uint8_t thin;          /* enum passo_thin of the next pass of a close that thins */
    int64_t stage_from_ms; /* when this stage began */
    uint32_t stage_passes;
    uint32_t stage_misses_run;
    bool stage_ended;  /* by a limit of the stage alone */
    uint16_t extended; /* EXTEND so often, in the climb */
    enum passo_outcome outcome;
};

/* What an event did. */
struct passo_decision {
    enum passo_move move;
    enum passo_reason reason;
    bool assumed;      /* an unmarked pass was taken as clean or miss */
    bool counted;      /* it was a counted mark of the climbing */
    uint8_t stage;     /* the stage that it was worked in; the course sets it */
    uint8_t cleans;    /* in a row after it, before a move clears them */
    int32_t from_mbpm; /* what passo_ladder_next() said before */
    int32_t to_mbpm;   /* what it says now; of an anchor, which is not the ladder's rung */
};

/* The next pass. */
struct passo_plan {
    enum passo_part part; /* DONE: the climb is over */
    int32_t mbpm;
    uint16_t rung;
    uint8_t turn; /* for CLIMB, ANCHOR, OVER, CLOSE and EASY */
    uint8_t thin; /* enum passo_thin, of a close that thins */
    /* The course (course.h) fills these: */
    uint8_t stage;
    uint8_t loop;    /* index into the passage's loops, or PASSO_LOOP_CONTEXT */
    uint8_t variant; /* index into its variants */
    bool as_written; /* COLD: whole passage, CONTEXT: the context loop; both as written */
    bool wait;  /* the rest goes on until a mark comes (`unmarked = wait`, or six assumed cleans) */
    bool pause; /* three unmarked in a row: pause at the end of the rest */
    int32_t rest_ms; /* > 0: rest this long instead of the rule's rest (tired: 90 s) */
};

/* Every default of the table. */
struct passo_rule passo_rule_default(void);

/* Makes a rule ready for `turns` turns (1 to PASSO_TURNS_MAX). PASSO_ERR_RANGE with one sentence
 * in out_fault (may be NULL; always terminated) that names the part, its value and what would do:
 * target or start outside the limits of tempo.h, start above target, a list that does not ascend
 * strictly, more than PASSO_RUNGS_MAX rungs, a count of 0 where one is needed, raise 5 of 4 ... */
PASSO_MUST_CHECK enum passo_error passo_ladder_init(struct passo_ladder *out_ladder,
                                                    const struct passo_rule *rule, size_t turns,
                                                    char *out_fault, size_t fault_bytes);
/* The state before the first pass. */
void passo_ladder_begin(const struct passo_ladder *ladder, struct passo_ladder_state *out_state);
/* Works one event in and says what it did. An event at DONE changes nothing. */
struct passo_decision passo_ladder_apply(const struct passo_ladder *ladder,
                                         struct passo_ladder_state *state,
                                         const struct passo_ladder_event *event);
/* begin, then apply each; the last decision (all zero if there is none) goes to out_last, which
 * may be NULL. */
void passo_ladder_replay(const struct passo_ladder *ladder, const struct passo_ladder_event *event,
                         size_t events, struct passo_ladder_state *out_state,
                         struct passo_decision *out_last);
/* Whether the climbs of this rule do not climb: CHECK and BLOCK. */
bool passo_rule_is_once(const struct passo_rule *rule);
/* When the climb's own time is up, with what a hand has added; 0: never. */
int64_t passo_ladder_stop_ms(const struct passo_ladder *ladder,
                             const struct passo_ladder_state *state);
/* After how many passes it ends, likewise; 0: however many. */
uint32_t passo_ladder_stop_passes(const struct passo_ladder *ladder,
                                  const struct passo_ladder_state *state);
/* Whether EXTEND would give more: the climbing is not over, and time or passes are limited. */
bool passo_ladder_extends(const struct passo_ladder *ladder,
                          const struct passo_ladder_state *state);
/* What is to be played next. */
struct passo_plan passo_ladder_next(const struct passo_ladder *ladder,
                                    const struct passo_ladder_state *state);
/* The best tempo won: the highest rung won, or where the climb opened (7). Of an EDGE the edge. */
int32_t passo_ladder_best_mbpm(const struct passo_ladder *ladder,
                               const struct passo_ladder_state *state);
/* The rest that the rule gives to a pass that played so long (body and landing). */
struct passo_instant passo_rule_rest(const struct passo_rule *rule, struct passo_instant played,
                                     uint32_t rate_hz);
/* A trap in the rule that is legal but surely not meant, as one sentence ("with `miss = first
 * turn`, ..."), or NULL. Static text. */
const char *passo_ladder_advice(const struct passo_ladder *ladder);

/* Names as in the CSV ("climb", "clean", "raised", "won"); static; unique within their enum. */
const char *passo_mark_name(enum passo_mark mark); /* "unmarked" "clean" "miss" "void" */
const char *passo_part_name(enum passo_part part);
const char *passo_move_name(enum passo_move move); /* NONE: "" */
const char *passo_outcome_name(enum passo_outcome outcome);

#endif
