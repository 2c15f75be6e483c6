/* The written changes of a passage: are they in order, inside the passage, and such that time can
 * be told from them? Thread: any; nothing allocates. */
#include "passage_priv.h"
#include "warp_priv.h"

#define NOTE_MAX 64 /* whole notes under a fermata: the longest bar */

static const struct passo_ratio least_share = {1, 16};
static const struct passo_ratio most_share = {16, 1};

static bool has_length(enum passo_written_kind kind)
{
    return kind == PASSO_WRITTEN_TO || kind == PASSO_WRITTEN_FERMATA ||
           kind == PASSO_WRITTEN_SILENT;
}

static bool is_span(enum passo_written_kind kind)
{
    return kind == PASSO_WRITTEN_TO || kind == PASSO_WRITTEN_FERMATA;
}

static bool share_is_valid(const struct passo_written *written)
{
    struct passo_ratio share = written->share;
    if (share.num < 1 || share.num > PASSO_SHARE_TERM_MAX || share.den < 1 ||
        share.den > PASSO_SHARE_TERM_MAX)
        return false;
    if (written->kind == PASSO_WRITTEN_SILENT)
        return share.num == share.den;
    return passo_ratio_cmp(share, least_share) >= 0 && passo_ratio_cmp(share, most_share) <= 0;
}

/* From the first note of the passage to the end of its last bar. */
static bool is_inside(const struct passo_passage *passage, struct passo_place place)
{
    if (!passage_place_is_valid(passage, place))
        return false;
    struct passo_place at = passage_settled(passage, place);
    return passage_place_cmp(at, passage_settled(passage, passage->loop[0].from)) >= 0 &&
           passage_place_cmp(at, passage_settled(passage, passage->loop[0].to)) <= 0;
}

static bool length_is_valid(const struct passo_passage *passage,
                            const struct passo_written *written)
{
    if (!has_length(written->kind))
        return true;
    if (!is_inside(passage, written->to))
        return false;
    struct passo_ratio length = passo_passage_length(passage, written->from, written->to);
    if (written->kind != PASSO_WRITTEN_FERMATA)
        return length.num > 0;
    return length.num > 0 && passo_ratio_cmp(length, (struct passo_ratio){NOTE_MAX, 1}) <= 0 &&
           written->beats <= PASSO_PREPARATION_MAX;
}

static bool written_is_valid(const struct passo_passage *passage,
                             const struct passo_written *written)
{
    return written->kind < PASSO_WRITTEN_COUNT && share_is_valid(written) &&
           is_inside(passage, written->from) && length_is_valid(passage, written);
}

/* May the change stand where it does, after the even change or fermata before it? */
static bool fits_span(const struct passo_passage *passage, const struct passo_written *span,
                      const struct passo_written *written)
{
    struct passo_place at = passage_settled(passage, written->from);
    if (passage_place_cmp(at, passage_settled(passage, span->to)) >= 0)
        return true;
    bool inside = passage_place_cmp(at, passage_settled(passage, span->from)) > 0;
    switch (written->kind) {
    case PASSO_WRITTEN_TO:
    case PASSO_WRITTEN_FERMATA:
        return false;
    case PASSO_WRITTEN_TEMPO:
    case PASSO_WRITTEN_SAME_NOTE:
        return !inside;
    case PASSO_WRITTEN_BREATH:
        return !inside || span->kind == PASSO_WRITTEN_TO;
    case PASSO_WRITTEN_SILENT:
    case PASSO_WRITTEN_COUNT:
        break;
    }
    return true;
}

bool passage_writtens_are_valid(const struct passo_passage *passage)
{
    if (passage->writtens > PASSO_WRITTEN_MAX)
        return false;
    const struct passo_written *span = NULL;
    for (size_t i = 0; i < passage->writtens; i++) {
        const struct passo_written *written = &passage->written[i];
        if (!written_is_valid(passage, written))
            return false;
        if (i && passage_place_cmp(passage_settled(passage, written[-1].from),
                                   passage_settled(passage, written->from)) > 0)
            return false;
        if (span && !fits_span(passage, span, written))
            return false;
        if (is_span(written->kind))
            span = written;
    }
    return warp_is_in_range(passage);
}
