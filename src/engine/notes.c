/* Where notes lie: from bars to whole notes and back. Pure; any thread. */
#include <passo/notes.h>

static const struct passo_ratio nothing = {0, 1};

static struct passo_ratio at_of(struct passo_place place)
{
    return place.at.den ? place.at : nothing;
}

struct passo_ratio passo_notes_at(const struct passo_passage *passage, struct passo_place place)
{
    const struct passo_place first = {passage->first_bar, nothing};
    const struct passo_place line = {place.bar, nothing};
    struct passo_ratio bars =
        place.bar < first.bar ? passo_ratio_sub(nothing, passo_passage_length(passage, line, first))
                              : passo_passage_length(passage, first, line);
    return passo_ratio_add(bars, at_of(place));
}

/* From one change of meter to the next, and only then by bars: passages are long. */
struct passo_place passo_notes_place(const struct passo_passage *passage, struct passo_ratio at)
{
    int32_t bar = passage->first_bar;
    for (size_t i = 0; i < passage->changes; i++) {
        const struct passo_place change = {passage->change[i].bar, nothing};
        if (change.bar <= bar)
            continue;
        struct passo_ratio length =
            passo_passage_length(passage, (struct passo_place){bar, nothing}, change);
        if (passo_ratio_cmp(at, length) < 0)
            break;
        at = passo_ratio_sub(at, length);
        bar = change.bar;
    }
    struct passo_ratio length = passo_meter_length(passo_passage_meter(passage, bar));
    int64_t bars = passo_ratio_floor(passo_ratio_div(at, length));
    at = passo_ratio_sub(at, passo_ratio_mul(length, passo_ratio(bars, 1)));
    return (struct passo_place){(int32_t)(bar + bars), at};
}

bool passo_notes_is_played(const struct passo_note *note, struct passo_ratio from,
                           struct passo_ratio to, bool lands)
{
    const int order = passo_ratio_cmp(note->at, to);
    return passo_ratio_cmp(passo_ratio_add(note->at, note->length), from) > 0 &&
           (order < 0 || (order == 0 && lands));
}

const struct passo_note *passo_notes_first(const struct passo_notes *notes,
                                           const struct passo_passage *passage,
                                           const struct passo_loop *loop)
{
    const struct passo_ratio from = passo_notes_at(passage, loop->from);
    const struct passo_ratio to = passo_notes_at(passage, loop->to);
    for (size_t i = 0; i < notes->notes; i++) {
        if (passo_notes_is_played(&notes->note[i], from, to, true))
            return &notes->note[i];
    }
    return NULL;
}
