/* Tempo: how long a musical length lasts, and the frame on which a position falls.
 *
 * Every result is one division of two 128-bit integers, rounded once; nothing is summed from
 * rounded parts, so nothing drifts. An instant is handled as one integer, in parts of 2^-32 of a
 * frame. Thread: any. */
#include <passo/error.h>
#include <passo/tempo.h>

__extension__ typedef __int128 wide;

#define PARTS_PER_FRAME    ((wide)1 << 32)
#define WHOLE_NOTES_LIMIT  ((int64_t)1 << 24)
#define DENOMINATOR_LIMIT  ((int64_t)1 << 28)
#define ORIGIN_LIMIT       ((int64_t)1 << 62)
#define MBPM_SECONDS       60000 /* one beat at 1 mbpm lasts so long */
#define NS_PER_SECOND      1000000000
#define SHARE_MAX_PERMILLE 100000

/* num/den, both positive or num 0. */
struct quotient {
    wide num;
    wide den;
};

static wide floor_div(wide num, wide den)
{
    wide whole = num / den;
    return whole - (num % den < 0);
}

static int64_t fits(wide value)
{
    PASSO_BUG_ON(value > INT64_MAX || value < INT64_MIN);
    return (int64_t)value;
}

static void check_rate(uint32_t rate_hz)
{
    PASSO_BUG_ON(rate_hz < PASSO_RATE_MIN_HZ || rate_hz > PASSO_RATE_MAX_HZ);
}

static void check_tempo(struct passo_tempo tempo)
{
    PASSO_BUG_ON(tempo.mbpm < PASSO_TEMPO_MIN_MBPM || tempo.mbpm > PASSO_TEMPO_MAX_MBPM);
    PASSO_BUG_ON(tempo.beat.num < 1 || tempo.beat.num > PASSO_BEAT_TERM_MAX);
    PASSO_BUG_ON(tempo.beat.den < 1 || tempo.beat.den > PASSO_BEAT_TERM_MAX);
}

static void check_length(struct passo_ratio whole_notes)
{
    PASSO_BUG_ON(whole_notes.den < 1 || whole_notes.den > DENOMINATOR_LIMIT);
    PASSO_BUG_ON(whole_notes.num < 0);
    PASSO_BUG_ON(whole_notes.num / whole_notes.den >= WHOLE_NOTES_LIMIT);
}

/* The length in ticks. whole_notes.num < 2^24 * 2^28 = 2^52, beat terms <= 2^8, and
 * 60000 * ticks_per_second < 2^34.5 for a rate, < 2^45.8 for nanoseconds. Hence
 *     den <= 2^28 * 2^8 * 2^20 = 2^56,
 *     num < 2^(52 + 8 + 34.5) = 2^94.5 for frames, < 2^105.8 for nanoseconds,
 * and num << 32 < 2^126.5 leaves room for a term of den << 32 = 2^88 below 2^127. A length in
 * frames is under 2^24 * 2^8 * 12 * 384000 < 2^54.2. */
static struct quotient ticks(struct passo_ratio whole_notes, struct passo_tempo tempo,
                             int64_t ticks_per_second)
{
    check_length(whole_notes);
    check_tempo(tempo);
    return (struct quotient){
        (wide)whole_notes.num * tempo.beat.den * MBPM_SECONDS * ticks_per_second,
        (wide)whole_notes.den * tempo.beat.num * tempo.mbpm,
    };
}

static wide parts(struct passo_instant at)
{
    return (wide)at.frame * PARTS_PER_FRAME + at.fraction;
}

static struct passo_instant instant(wide all_parts)
{
    wide frame = floor_div(all_parts, PARTS_PER_FRAME);
    return (struct passo_instant){fits(frame), (uint32_t)(all_parts - frame * PARTS_PER_FRAME)};
}

static void check_origin(struct passo_instant origin)
{
    PASSO_BUG_ON(origin.frame > ORIGIN_LIMIT || origin.frame < -ORIGIN_LIMIT);
}

int64_t passo_tempo_frame(struct passo_instant origin, struct passo_ratio whole_notes,
                          struct passo_tempo tempo, uint32_t rate_hz)
{
    check_origin(origin);
    check_rate(rate_hz);
    struct quotient frames = ticks(whole_notes, tempo, rate_hz);
    /* The half frame and the origin's fraction join before the one division: rounding is exact. */
    wide past_frame =
        frames.num * PARTS_PER_FRAME + frames.den * (origin.fraction + PARTS_PER_FRAME / 2);
    return origin.frame + (int64_t)(past_frame / (frames.den * PARTS_PER_FRAME));
}

struct passo_instant passo_tempo_advance(struct passo_instant origin,
                                         struct passo_ratio whole_notes, struct passo_tempo tempo,
                                         uint32_t rate_hz)
{
    check_origin(origin);
    check_rate(rate_hz);
    struct quotient frames = ticks(whole_notes, tempo, rate_hz);
    wide length = (frames.num * PARTS_PER_FRAME + frames.den / 2) / frames.den;
    return instant(parts(origin) + length);
}

int64_t passo_tempo_ns(struct passo_ratio whole_notes, struct passo_tempo tempo)
{
    struct quotient ns = ticks(whole_notes, tempo, NS_PER_SECOND);
    return fits((ns.num + ns.den / 2) / ns.den);
}

int64_t passo_instant_frame(struct passo_instant at)
{
    return fits((wide)at.frame + (at.fraction >> 31));
}

struct passo_instant passo_instant_add(struct passo_instant a, struct passo_instant b)
{
    return instant(parts(a) + parts(b));
}

struct passo_instant passo_instant_sub(struct passo_instant a, struct passo_instant b)
{
    return instant(parts(a) - parts(b));
}

struct passo_instant passo_instant_scale(struct passo_instant at, int32_t permille)
{
    PASSO_BUG_ON(at.frame < 0 || permille < 0 || permille > SHARE_MAX_PERMILLE);
    return instant(parts(at) * permille / 1000);
}

int passo_instant_cmp(struct passo_instant a, struct passo_instant b)
{
    wide left = parts(a);
    wide right = parts(b);
    return (left > right) - (left < right);
}

struct passo_instant passo_instant_from_ms(int64_t ms, uint32_t rate_hz)
{
    check_rate(rate_hz);
    return instant(floor_div((wide)ms * rate_hz * PARTS_PER_FRAME + 500, 1000));
}

int64_t passo_instant_ns(struct passo_instant at, uint32_t rate_hz)
{
    check_rate(rate_hz);
    /* |parts| <= 2^95, times 10^9 < 2^125: the sum stays below 2^127. */
    wide rate_parts = (wide)rate_hz * PARTS_PER_FRAME;
    return fits(floor_div(parts(at) * NS_PER_SECOND + rate_parts / 2, rate_parts));
}

int32_t passo_tempo_share(int32_t mbpm, int32_t permille)
{
    PASSO_BUG_ON(mbpm < 0 || mbpm > PASSO_TEMPO_MAX_MBPM);
    PASSO_BUG_ON(permille < 0 || permille > SHARE_MAX_PERMILLE);
    return (int32_t)(((int64_t)mbpm * permille + 500) / 1000);
}
