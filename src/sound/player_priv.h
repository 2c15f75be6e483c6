/* What player.c (control side) and walk.c (audio side) share. Each field has one side that writes
 * it; the atomics and rings are the only ones that both sides touch. */
#ifndef PASSO_SOUND_PLAYER_PRIV_H
#define PASSO_SOUND_PLAYER_PRIV_H

#include "sound/clock_map.h"
#include "sound/mixer.h"
#include "sound/player.h"
#include "sound/tone.h"
#include "sound/voices.h"

#define WAITING_MAX 4  /* timelines handed over and not begun */
#define CUES_MAX    16 /* cues handed over and not begun */
/* Timelines in the audio side's hands or on the way back. The return ring is as long, so that a
 * timeline can always be handed back. */
#define OUTSTANDING_MAX 16
/* Notices that found the ring full. An outstanding timeline has at most two that must not be lost
 * (BEGAN, and ENDED or STOPPED): the upper half is theirs. */
#define PENDING_MAX      64
#define PENDING_OPTIONAL (PENDING_MAX - 2 * OUTSTANDING_MAX)

enum command_kind {
    COMMAND_PLAY,
    COMMAND_WITHDRAW,
    COMMAND_STOP,
    COMMAND_CUE,
    COMMAND_HUSH,
    COMMAND_LEVEL,
};

struct command {
    enum command_kind kind;
    enum passo_cue cue;              /* CUE */
    float gain;                      /* LEVEL */
    int64_t at;                      /* STOP, CUE */
    struct passo_timeline *timeline; /* PLAY */
};

/* A notice that waits for room; an ended timeline goes back behind it. */
struct pending {
    struct passo_notice notice;
    struct passo_timeline *timeline; /* NULL: none */
};

struct waiting_cue {
    int64_t at;
    enum passo_cue cue;
};

/* How many objects of a kind wait on the audio side, counted without a lock. `sent` and `dropped`
 * belong to the control side, `left` to the audio side: it counts those that began or were
 * dropped. A withdrawal in the ring settles all that was sent before it. */
struct tally {
    size_t sent;
    size_t settled;     /* sent before the last withdrawal */
    atomic_size_t left; /* relaxed: a count alone, no data hangs on it */
};

struct passo_player {
    /* both sides */
    struct passo_ring commands; /* struct command: control writes, audio reads */
    struct passo_ring notices;  /* struct passo_notice: audio writes, control reads */
    struct passo_ring returns;  /* struct passo_timeline *: audio writes, control reads */
    struct tally timelines;
    struct tally cues;
    struct passo_clock_map heard;
    _Atomic int64_t rendered; /* audio writes */

    /* control side */
    size_t outstanding; /* timelines under way, see OUTSTANDING_MAX */
    float wished_gain;  /* the level last asked for, kept over a change of kit */

    /* written by the control side, while nothing renders */
    struct passo_kit kit;
    struct passo_waves waves; /* made once: they hold at any rate */

    /* audio side */
    struct passo_stamp block; /* of the block that is being rendered */
    int64_t now;              /* the frame that comes next */
    struct passo_voices voices;
    struct passo_tones tones;
    struct passo_level level;
    struct passo_timeline *playing;
    int64_t base;    /* absolute frame of the playing timeline's frame 0 */
    size_t next;     /* its next event */
    int64_t stop_at; /* where it is to be stopped, INT64_MAX: nowhere */
    struct passo_timeline *waiting[WAITING_MAX];
    size_t waiting_count;
    struct waiting_cue cue[CUES_MAX];
    size_t cue_count;
    struct pending pending[PENDING_MAX]; /* a queue: oldest at pending_first */
    size_t pending_first;
    size_t pending_count;
    bool late;
};

/* Forgets all that sounds or waits. Timelines must have been taken out before. Thread: control,
 * while nothing renders. */
void passo_walk_reset(struct passo_player *player);

#endif
