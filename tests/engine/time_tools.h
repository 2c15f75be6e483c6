/* What the tests of musical time share: repeatable random numbers, a catcher of aborts, bridges to
 * GMP, and a timeline written as a line of text. */
#ifndef PASSO_TESTS_TIME_TOOLS_H
#define PASSO_TESTS_TIME_TOOLS_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <gmp.h>
#include <inttypes.h>
#include <passo/timeline.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

/* xorshift64*: the same numbers on every machine. */
static inline uint64_t random_bits(uint64_t *state)
{
    *state ^= *state >> 12;
    *state ^= *state << 25;
    *state ^= *state >> 27;
    return *state * 0x2545F4914F6CDD1DULL;
}

/* From low to high, both included. */
static inline int64_t random_between(uint64_t *state, int64_t low, int64_t high)
{
    uint64_t range = (uint64_t)high - (uint64_t)low + 1;
    uint64_t bits = random_bits(state);
    return (int64_t)((uint64_t)low + (range ? bits % range : bits));
}

/* True if the call stops the program as a bug does; its words on stderr are dropped. */
static inline bool stops_the_program(void (*call)(void))
{
    pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        if (!freopen("/dev/null", "w", stderr))
            _exit(1);
        call();
        _exit(0);
    }
    int status = 0;
    assert_int_equal(waitpid(child, &status, 0), child);
    return WIFSIGNALED(status) && WTERMSIG(status) == SIGABRT;
}

static inline struct passo_ratio ratio(int64_t num, int64_t den)
{
    return passo_ratio(num, den);
}

static inline struct passo_meter meter_of(int64_t count, int64_t unit)
{
    struct passo_meter meter;
    assert_int_equal(passo_meter_init(&meter, count, unit), PASSO_OK);
    return meter;
}

/* "2+2+3" over 8: groups_of(8, 3, 2, 2, 3). */
static inline struct passo_meter groups_of(int64_t unit, int groups, ...)
{
    uint8_t group[PASSO_METER_COUNT_MAX];
    va_list list;
    va_start(list, groups);
    for (int i = 0; i < groups; i++)
        group[i] = (uint8_t)va_arg(list, int);
    va_end(list);
    struct passo_meter meter;
    assert_int_equal(passo_meter_init_groups(&meter, group, (size_t)groups, unit), PASSO_OK);
    return meter;
}

/* A passage without pickup or changes, completed. */
static inline struct passo_passage passage_of(struct passo_meter meter, struct passo_ratio beat,
                                              int32_t first_bar, int32_t bars)
{
    struct passo_passage passage = {
        .meter = meter, .beat = beat, .first_bar = first_bar, .bars = bars};
    assert_int_equal(passo_passage_complete(&passage), PASSO_OK);
    return passage;
}

static inline struct passo_loop loop_of(int32_t from_bar, struct passo_ratio from, int32_t to_bar,
                                        struct passo_ratio to)
{
    return (struct passo_loop){.name = "part", .from = {from_bar, from}, .to = {to_bar, to}};
}

static inline struct passo_written change_of(enum passo_written_kind kind, int32_t from_bar,
                                             struct passo_ratio from, int32_t to_bar,
                                             struct passo_ratio to, struct passo_ratio share)
{
    return (struct passo_written){
        .kind = kind, .from = {from_bar, from}, .to = {to_bar, to}, .share = share};
}

/* Adds a written change after those that are there; the caller completes the passage. */
static inline struct passo_written *write_in(struct passo_passage *passage,
                                             struct passo_written written)
{
    assert_true(passage->writtens < PASSO_WRITTEN_MAX);
    passage->written[passage->writtens] = written;
    return &passage->written[passage->writtens++];
}

static inline const char *written_mark(const struct passo_event *event)
{
    switch ((enum passo_event_kind)event->kind) {
    case PASSO_EVENT_BODY:
        return "[";
    case PASSO_EVENT_LAND:
        return "<";
    case PASSO_EVENT_END:
        return ".";
    case PASSO_EVENT_TONE_ON:
        return "{";
    case PASSO_EVENT_TONE_OFF:
        return "}";
    case PASSO_EVENT_CLICK:
    case PASSO_EVENT_SILENT_CLICK:
    case PASSO_EVENT_KIND_COUNT:
        break;
    }
    return NULL;
}

/* The events as words: I and i count-in, B bar, G group, b beat, s subdivision, each with its bar
 * and beat ("b34.2") or, counting in, its beat alone; in brackets if silent; [ body, < landing,
 * . end, { tone on, } tone off. The caller gives enough room. */
static inline const char *written(const struct passo_timeline *timeline, char *out, size_t bytes)
{
    static const char letter[PASSO_CLICK_COUNT_OF + 1] = "BGbsIi";
    size_t used = 0;
    out[0] = 0;
    for (size_t i = 0; i < timeline->events; i++) {
        const struct passo_event *event = &timeline->event[i];
        char word[48];
        const char *mark = written_mark(event);
        if (mark)
            snprintf(word, sizeof word, "%s", mark);
        else if (event->click != PASSO_CLICK_COUNT_BAR && event->click != PASSO_CLICK_COUNT)
            snprintf(word, sizeof word, "%c%" PRId32 ".%u", letter[event->click], event->bar,
                     event->beat);
        else
            snprintf(word, sizeof word, "%c%u", letter[event->click], event->beat);
        bool silent = event->kind == PASSO_EVENT_SILENT_CLICK;
        int more = snprintf(out + used, bytes - used, "%s%s%s%s", i ? " " : "", silent ? "(" : "",
                            word, silent ? ")" : "");
        assert_true(more > 0 && (size_t)more < bytes - used);
        used += (size_t)more;
    }
    return out;
}

/* Length in frames of whole_notes at tempo, exactly: whole_notes / beat * 60000 * rate / mbpm. */
static inline void exact_frames(mpq_t out, struct passo_ratio whole_notes, struct passo_tempo tempo,
                                uint32_t rate_hz)
{
    mpz_set_si(mpq_numref(out), whole_notes.num);
    mpz_mul_si(mpq_numref(out), mpq_numref(out), tempo.beat.den);
    mpz_mul_ui(mpq_numref(out), mpq_numref(out), 60000);
    mpz_mul_ui(mpq_numref(out), mpq_numref(out), rate_hz);
    mpz_set_si(mpq_denref(out), whole_notes.den);
    mpz_mul_si(mpq_denref(out), mpq_denref(out), tempo.beat.num);
    mpz_mul_si(mpq_denref(out), mpq_denref(out), tempo.mbpm);
    mpq_canonicalize(out);
}

/* frame + fraction / 2^32 */
static inline void exact_instant(mpq_t out, struct passo_instant at)
{
    mpz_set_si(mpq_numref(out), at.frame);
    mpz_mul_2exp(mpq_numref(out), mpq_numref(out), 32);
    mpz_add_ui(mpq_numref(out), mpq_numref(out), at.fraction);
    mpz_set_ui(mpq_denref(out), 1);
    mpz_mul_2exp(mpq_denref(out), mpq_denref(out), 32);
    mpq_canonicalize(out);
}

/* floor(value * scale + 1/2) */
static inline void rounded(mpz_t out, const mpq_t value, uint64_t scale)
{
    mpz_mul_ui(out, mpq_numref(value), scale);
    mpz_mul_2exp(out, out, 1);
    mpz_add(out, out, mpq_denref(value));
    mpz_t twice;
    mpz_init(twice);
    mpz_mul_2exp(twice, mpq_denref(value), 1);
    mpz_fdiv_q(out, out, twice);
    mpz_clear(twice);
}

#endif
