/* The warp: the written changes of time laid out as pieces of the score, then summed up from the
 * loop's entry. The tempo in force is found by walking all changes from the passage's first, so a
 * loop that enters late finds the tempo that it would have reached. Steady and held pieces are
 * exact (to the grain, where shares make fine fractions); even changes use the closed form.
 *
 * Why every length is under 2^24 whole notes: a loop has at most 3 * PASSO_BARS_MAX bars of 64
 * whole notes, at 1/16 of the tempo 6,144,000; PASSO_WRITTEN_MAX fermatas on notes of at most 64,
 * held 16 times at 1/16, add 1,048,576; each of these, or a breath in its place, adds 16 beats of
 * 256 at 1/16, together 4,194,304; a count-in of 256 bars adds 262,144, a landing 1,024. Together
 * 11.7 million of 16.7. Thread: any; nothing allocates. */
#include "warp_priv.h"

#include <math.h>
#include <passo/error.h>

#include "grain_priv.h"
#include "passage_priv.h"

static const struct passo_ratio nothing = {0, 1};
static const struct passo_ratio once = {1, 1};
static const struct passo_ratio slowest = {1, 16};
static const struct passo_ratio fastest = {16, 1};

/* The walk along the written changes. */
struct walk {
    struct warp *warp;
    const struct passo_passage *passage;
    int32_t bar;                      /* score places are measured from its bar line */
    const struct passo_written *span; /* the even change or fermata under way, or NULL */
};

static struct passo_ratio score_place(const struct walk *walk, struct passo_place place)
{
    struct passo_place line = {walk->bar, nothing};
    if (place.bar >= walk->bar)
        return passo_passage_length(walk->passage, line, place);
    return passo_ratio_sub(nothing, passo_passage_length(walk->passage, place, line));
}

static struct passo_ratio share_in(const struct warp_piece *piece, struct passo_ratio score)
{
    if (!piece->change.num)
        return piece->share;
    struct passo_ratio through = grain_div(passo_ratio_sub(score, piece->begin), piece->length);
    return grain_add(piece->share, grain_mul(piece->change, through));
}

/* --- the pieces --- */

/* The piece that begins at a place, at the tempo reached there; new if none does yet. */
static struct warp_piece *piece_from(struct walk *walk, struct passo_place place)
{
    struct warp *warp = walk->warp;
    struct warp_piece *last = &warp->piece[warp->pieces - 1];
    struct passo_ratio from = score_place(walk, place);
    if (warp->pieces > 1 && passo_ratio_cmp(last->from, from) == 0)
        return last;
    struct warp_piece *piece = last + 1;
    *piece = *last;
    piece->place = place;
    piece->from = from;
    piece->breath = nothing;
    piece->beats = 0;
    if (!walk->span)
        piece->begin = from;
    warp->pieces++;
    return piece;
}

static struct passo_ratio change_to(const struct passo_written *span, struct passo_ratio share)
{
    return span && span->kind == PASSO_WRITTEN_TO ? grain_sub(span->share, share) : nothing;
}

/* Does the tempo in force stay in range? */
static bool set_share(struct walk *walk, struct passo_place place, struct passo_ratio share)
{
    struct warp_piece *piece = piece_from(walk, place);
    piece->share = share;
    piece->change = change_to(walk->span, share);
    return passo_ratio_cmp(share, slowest) >= 0 && passo_ratio_cmp(share, fastest) <= 0;
}

static void begin_span(struct walk *walk, const struct passo_written *span)
{
    struct passo_place from = passage_settled(walk->passage, span->from);
    struct warp_piece *piece = piece_from(walk, from);
    walk->span = span;
    piece->change = change_to(span, piece->share);
    piece->length = passo_passage_length(walk->passage, span->from, span->to);
    piece->held = span->kind == PASSO_WRITTEN_FERMATA;
    piece->hold = piece->held ? span->share : once;
}

static void end_span(struct walk *walk)
{
    const struct passo_written *span = walk->span;
    walk->span = NULL;
    struct warp_piece *piece = piece_from(walk, passage_settled(walk->passage, span->to));
    if (span->kind == PASSO_WRITTEN_TO)
        piece->share = span->share;
    else
        piece->beats = span->beats;
    piece->change = nothing;
    piece->held = false;
    piece->hold = once;
}

static void breathe(struct walk *walk, const struct passo_written *written,
                    struct passo_place place)
{
    struct warp_piece *piece = piece_from(walk, place);
    struct passo_ratio before = share_in(piece - 1, piece->from);
    struct passo_ratio lasts = grain_scale(walk->passage->beat, written->share, before);
    piece->breath = grain_add(piece->breath, lasts);
}

static void add_pause(struct walk *walk, const struct passo_written *written)
{
    struct warp_pause *pause = &walk->warp->pause[walk->warp->pauses++];
    pause->from = score_place(walk, written->from);
    pause->to = score_place(walk, written->to);
}

/* Lays one change; false where the tempo in force leaves its range. */
static bool lay(struct walk *walk, const struct passo_written *written)
{
    struct passo_place place = passage_settled(walk->passage, written->from);
    const struct passo_written *span = walk->span;
    if (span && passage_place_cmp(place, passage_settled(walk->passage, span->to)) >= 0)
        end_span(walk);
    switch (written->kind) {
    case PASSO_WRITTEN_TEMPO:
        return set_share(walk, place, written->share);
    case PASSO_WRITTEN_SAME_NOTE:
        return set_share(walk, place, grain_mul(piece_from(walk, place)->share, written->share));
    case PASSO_WRITTEN_TO:
    case PASSO_WRITTEN_FERMATA:
        begin_span(walk, written);
        return true;
    case PASSO_WRITTEN_BREATH:
        breathe(walk, written, place);
        return true;
    case PASSO_WRITTEN_SILENT:
        add_pause(walk, written);
        return true;
    case PASSO_WRITTEN_COUNT:
        break;
    }
    return false;
}

static bool lay_all(struct warp *warp, const struct passo_passage *passage, int32_t bar)
{
    struct walk walk = {.warp = warp, .passage = passage, .bar = bar};
    warp->beat = passage->beat;
    warp->pauses = 0;
    warp->pieces = 1;
    warp->piece[0] = (struct warp_piece){.from = nothing,
                                         .at = nothing,
                                         .share = once,
                                         .change = nothing,
                                         .begin = nothing,
                                         .length = once,
                                         .hold = once,
                                         .breath = nothing};
    for (size_t i = 0; i < passage->writtens; i++) {
        if (!lay(&walk, &passage->written[i]))
            return false;
    }
    if (walk.span)
        end_span(&walk);
    return true;
}

bool warp_is_in_range(const struct passo_passage *passage)
{
    struct warp warp;
    return lay_all(&warp, passage, passage->first_bar);
}

/* --- lengths --- */

static long double value(struct passo_ratio ratio)
{
    return (long double)ratio.num / (long double)ratio.den;
}

/* The integral of 1/p from a to b, p growing evenly: (b - a)/p(a) * ln(1 + x)/x, where x is the
 * growth from p(a) to p(b) over p(a). Measured from the change's own beginning, so that a loop
 * which enters inside it agrees with one that does not. */
static struct passo_ratio even_length(const struct warp_piece *piece, struct passo_ratio a,
                                      struct passo_ratio b)
{
    long double slope = value(piece->change) / value(piece->length);
    long double share = value(piece->share) + slope * value(passo_ratio_sub(a, piece->begin));
    long double notes = value(passo_ratio_sub(b, a));
    long double growth = slope * notes / share;
    return grain_nearest(notes / share * log1pl(growth) / growth);
}

static struct passo_ratio piece_length(const struct warp_piece *piece, struct passo_ratio a,
                                       struct passo_ratio b)
{
    if (passo_ratio_cmp(a, b) == 0)
        return nothing;
    if (piece->change.num)
        return even_length(piece, a, b);
    return grain_scale(passo_ratio_sub(b, a), piece->hold, piece->share);
}

static struct passo_ratio within(const struct warp *warp, const struct warp_piece *piece,
                                 struct passo_ratio score)
{
    struct passo_ratio from = piece == &warp->piece[0] ? warp->entry : piece->from;
    return grain_add(piece->at, piece_length(piece, from, score));
}

struct passo_ratio warp_preparation_beat(const struct warp *warp, const struct warp_piece *piece)
{
    return grain_div(warp->beat, share_in(piece, piece->from));
}

/* Drops what is over at the entry, so that piece[0] holds it. */
static void enter(struct warp *warp)
{
    size_t over = 0;
    while (over + 1 < warp->pieces && passo_ratio_cmp(warp->piece[over + 1].from, warp->entry) <= 0)
        over++;
    warp->pieces -= over;
    for (size_t i = 0; over && i < warp->pieces; i++)
        warp->piece[i] = warp->piece[i + over];
    warp->piece[0].at = nothing;
    warp->piece[0].breath = nothing;
    warp->piece[0].beats = 0;
}

void warp_init(struct warp *out_warp, const struct passo_passage *passage, struct passo_place entry)
{
    PASSO_BUG_ON(passage->writtens > PASSO_WRITTEN_MAX);
    PASSO_BUG_ON(!lay_all(out_warp, passage, entry.bar));
    out_warp->entry = entry.at;
    enter(out_warp);
    for (size_t i = 1; i < out_warp->pieces; i++) {
        struct warp_piece *piece = &out_warp->piece[i];
        struct passo_ratio beats = passo_ratio(piece->beats, 1);
        struct passo_ratio prepared = grain_mul(warp_preparation_beat(out_warp, piece), beats);
        struct passo_ratio stands = grain_add(piece->breath, prepared);
        piece->at = grain_add(within(out_warp, piece - 1, piece->from), stands);
    }
}

static const struct warp_piece *piece_of(const struct warp *warp, struct passo_ratio score)
{
    size_t i = warp->pieces - 1;
    while (i > 0 && passo_ratio_cmp(warp->piece[i].from, score) > 0)
        i--;
    return &warp->piece[i];
}

struct passo_ratio warp_at(const struct warp *warp, struct passo_ratio score)
{
    return within(warp, piece_of(warp, score), score);
}

struct passo_ratio warp_until(const struct warp *warp, struct passo_ratio score)
{
    const struct warp_piece *piece = piece_of(warp, score);
    if (piece > warp->piece && passo_ratio_cmp(piece->from, score) == 0)
        piece--;
    return within(warp, piece, score);
}

struct passo_ratio warp_share(const struct warp *warp, struct passo_ratio score)
{
    return share_in(piece_of(warp, score), score);
}

bool warp_is_silent(const struct warp *warp, struct passo_ratio score)
{
    const struct warp_piece *piece = piece_of(warp, score);
    if (piece->held && passo_ratio_cmp(piece->begin, score) < 0)
        return true;
    for (size_t i = 0; i < warp->pauses; i++) {
        if (passo_ratio_cmp(warp->pause[i].from, score) <= 0 &&
            passo_ratio_cmp(score, warp->pause[i].to) < 0)
            return true;
    }
    return false;
}
