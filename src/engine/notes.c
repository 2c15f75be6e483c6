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

struct passo_place passo_notes_place(const struct passo_passage *passage, struct passo_ratio at)
{
    struct passo_place place = {passage->first_bar, at};
    while (passo_ratio_cmp(place.at, nothing) < 0) {
        place.bar--;
        place.at =
            passo_ratio_add(place.at, passo_meter_length(passo_passage_meter(passage, place.bar)));
    }
    for (;;) {
        struct passo_ratio bar = passo_meter_length(passo_passage_meter(passage, place.bar));
        if (passo_ratio_cmp(place.at, bar) < 0)
            return place;
        place.at = passo_ratio_sub(place.at, bar);
        place.bar++;
    }
}

const struct passo_note *passo_notes_first(const struct passo_notes *notes,
                                           const struct passo_passage *passage,
                                           const struct passo_loop *loop)
{
    struct passo_ratio from = passo_notes_at(passage, loop->from);
    struct passo_ratio to = passo_notes_at(passage, loop->to);
    for (size_t i = 0; i < notes->notes; i++) {
        const struct passo_note *note = &notes->note[i];
        if (passo_ratio_cmp(note->at, from) >= 0)
            return passo_ratio_cmp(note->at, to) < 0 ? note : NULL;
    }
    return NULL;
}
