/* The lengths of ABC, and what bends them: tuplets and broken rhythm. Any thread. */
#include "score/abc_priv.h"

enum { LENGTH_TERM_MAX = 4096, BROKEN_MAX = 3, TUPLET_MAX = 64, TUPLET_NOTES_MAX = 1000 };

bool abc_length_factor(struct abc_reader *reader, struct passo_ratio *out_factor)
{
    const char *from = reader->at;
    struct abc_span rest = {reader->at, reader->line.end};
    long num = 1;
    long den = 1;
    bool fine = true;
    if (rest.at < rest.end && *rest.at >= '0' && *rest.at <= '9')
        fine = abc_digits(&rest, LENGTH_TERM_MAX, &num) && num > 0;
    while (fine && rest.at < rest.end && *rest.at == '/') {
        long part = 2;
        rest.at++;
        if (rest.at < rest.end && *rest.at >= '0' && *rest.at <= '9')
            fine = abc_digits(&rest, LENGTH_TERM_MAX, &part) && part > 0;
        if (den <= LENGTH_TERM_MAX)
            den *= part;
    }
    reader->at = rest.at;
    if (!fine || den > LENGTH_TERM_MAX)
        return abc_fault(reader, from, PASSO_ERR_RANGE,
                         "a length is a whole number or a fraction of terms from 1 to %d, such as "
                         "2, / or 3/2",
                         LENGTH_TERM_MAX);
    *out_factor = passo_ratio(num, den);
    return true;
}

bool abc_too_odd(struct abc_reader *reader, const char *at)
{
    return abc_fault(reader, at, PASSO_ERR_RANGE,
                     "the lengths up to here are too long or too finely parted to add up");
}

bool abc_lasts(struct abc_reader *reader, const char *from, struct passo_ratio factor,
               struct passo_ratio *out_length)
{
    abc_settle_unit(reader);
    struct passo_ratio length = passo_ratio_mul(factor, reader->unit);
    length = passo_ratio_mul(length, reader->next_share);
    if (reader->tuplet_left)
        length = passo_ratio_mul(length, reader->tuplet);
    reader->tuplet_left -= reader->tuplet_left > 0;
    reader->next_share = passo_ratio(1, 1);
    reader->broken = false;
    if (!score_is_exact(length) || !score_sum(reader->now, length, &reader->now))
        return abc_too_odd(reader, from);
    reader->last_length = length;
    *out_length = length;
    return true;
}

bool abc_broken(struct abc_reader *reader)
{
    const char *from = reader->at;
    const char way = *from;
    int count = 0;
    for (; abc_here(reader) == way; reader->at++)
        count += count <= BROKEN_MAX;
    if (reader->last == ABC_LAST_NONE || reader->broken || count > BROKEN_MAX)
        return abc_fault(reader, from, PASSO_ERR_SYNTAX,
                         "one to three %c stand between two notes of one bar", way);
    const struct passo_ratio less = passo_ratio(1, 1 << count);
    const struct passo_ratio more = passo_ratio_sub(passo_ratio(2, 1), less);
    const struct passo_ratio share = way == '>' ? more : less;
    const struct passo_ratio change =
        passo_ratio_mul(reader->last_length, passo_ratio_sub(share, passo_ratio(1, 1)));
    struct passo_score *score = reader->build.score;
    reader->next_share = way == '>' ? less : more;
    reader->broken = true;
    if (!score_is_exact(change) || !score_sum(reader->now, change, &reader->now))
        return abc_too_odd(reader, from);
    if (reader->last == ABC_LAST_NOTE && !score_sum(score->note[score->notes - 1].length, change,
                                                    &score->note[score->notes - 1].length))
        return abc_too_odd(reader, from);
    return true;
}

/* How many notes' time p notes take where it is not said. */
static long tuplet_time(const struct abc_reader *reader, long notes)
{
    static const int8_t times[] = {[2] = 3, [3] = 2, [4] = 3, [6] = 2, [8] = 3};
    const bool compound =
        reader->meter.groups && reader->meter.group[0] == 3 && reader->meter.count % 3 == 0;
    if (notes < 9 && times[notes])
        return times[notes];
    return compound ? 3 : 2;
}

/* "(3", "(5:4", "(3:2:4", "(3::4". */
bool abc_tuplet(struct abc_reader *reader)
{
    char shown[ABC_SHOWN_BYTES];
    const char *from = reader->at;
    struct abc_span rest = {from + 1, reader->line.end};
    long notes = 0;
    bool fine = abc_digits(&rest, TUPLET_MAX, &notes) && notes > 1;
    long time = fine ? tuplet_time(reader, notes) : 0;
    long covers = notes;
    for (int i = 0; fine && i < 2 && rest.at < rest.end && *rest.at == ':'; i++) {
        rest.at++;
        if (rest.at < rest.end && *rest.at >= '0' && *rest.at <= '9')
            fine = abc_digits(&rest, i ? TUPLET_NOTES_MAX : TUPLET_MAX, i ? &covers : &time);
    }
    reader->at = rest.at;
    if (!fine || time < 1 || covers < 1)
        return abc_fault(reader, from, PASSO_ERR_SYNTAX,
                         "%s is no tuplet; write (3, or (5:4:5 for five notes in the time of four",
                         abc_shown((struct abc_span){from, reader->at}, shown));
    if (reader->tuplet_left)
        return abc_fault(reader, from, PASSO_ERR_SYNTAX,
                         "a tuplet within a tuplet; write the inner lengths as fractions");
    reader->tuplet = passo_ratio(time, notes);
    reader->tuplet_left = (int)covers;
    return true;
}
