/* The warp of a loop: where a place of the score falls once the written changes of time are played,
 * in whole notes at the rung's tempo. It does not know the rung: every tempo bends time alike.
 *
 * Score places are whole notes from the bar line of the loop's first bar (negative before it);
 * warped places are whole notes from the loop's entry. The score is cut into pieces, each at a
 * steady tempo, evenly changing, or held. Thread: any; nothing allocates. */
#ifndef PASSO_ENGINE_WARP_PRIV_H
#define PASSO_ENGINE_WARP_PRIV_H

#include <passo/passage.h>

/* The first piece, then at most a beginning and an end for each written change. */
#define WARP_PIECES_MAX (2 * PASSO_WRITTEN_MAX + 1)

struct warp_piece {
    struct passo_place place; /* where it begins in print; of the first piece: unset */
    struct passo_ratio from;  /* the same as a score place */
    struct passo_ratio at;    /* where `from`, or the entry if that is later, falls */
    /* The share of the rung's tempo: `share` at `begin`, then growing by `change` in `length`. A
     * breath cuts an even change in two pieces that keep its `begin`; else `begin` is `from`. */
    struct passo_ratio share;
    struct passo_ratio change;
    struct passo_ratio begin;
    struct passo_ratio length;
    struct passo_ratio hold;   /* it lasts so many times its written length: 1, but for a fermata */
    bool held;                 /* it is the note of a fermata */
    struct passo_ratio breath; /* first time stands still for so long, at the rung's tempo */
    uint8_t beats;             /* then come so many beats of preparation */
};

struct warp_pause {
    struct passo_ratio from; /* score places; [from, to) */
    struct passo_ratio to;
};

struct warp {
    struct passo_ratio entry; /* score place */
    struct passo_ratio beat;  /* the passage's beat unit */
    size_t pieces;
    struct warp_piece piece[WARP_PIECES_MAX]; /* piece[0] holds the entry */
    size_t pauses;
    struct warp_pause pause[PASSO_WRITTEN_MAX]; /* general pauses */
};

/* The warp of a loop that enters at a settled place. */
void warp_init(struct warp *out_warp, const struct passo_passage *passage,
               struct passo_place entry);
/* Where a score place from the entry on falls. A breath or beats of preparation at the place lie
 * before it, but those at the entry itself are over. */
struct passo_ratio warp_at(const struct warp *warp, struct passo_ratio score);
/* The same for what ends there: a breath or beats of preparation at the place lie behind it. */
struct passo_ratio warp_until(const struct warp *warp, struct passo_ratio score);
/* The share of the rung's tempo in force at a score place from the entry on; what begins there
 * counts, a fermata does not. */
struct passo_ratio warp_share(const struct warp *warp, struct passo_ratio score);
/* How long a beat of the preparation before a piece lasts, at the rung's tempo. */
struct passo_ratio warp_preparation_beat(const struct warp *warp, const struct warp_piece *piece);
/* In a general pause, or inside a held note after its start. */
bool warp_is_silent(const struct warp *warp, struct passo_ratio score);
/* Does the tempo in force stay within 1/16 to 16 times the rung's? The written changes have passed
 * every other check. */
bool warp_is_in_range(const struct passo_passage *passage);

#endif
