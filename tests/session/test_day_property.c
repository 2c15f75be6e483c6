/* Drawn days with drawn keys, in simulated time: whatever is pressed and whenever, each item is
 * told of in the order that the rules give, ends once, and no time is counted twice. The order is
 * worked out here from what was told, by a queue of its own. */
#include "day_tools.h"

#include <passo/random.h>

enum { DAYS = 400 };

static const enum passo_command commands[] = {
    PASSO_COMMAND_CLEAN,  PASSO_COMMAND_CLEAN,   PASSO_COMMAND_CLEAN,  PASSO_COMMAND_MISS,
    PASSO_COMMAND_SKIP,   PASSO_COMMAND_PUT_OFF, PASSO_COMMAND_SOONER, PASSO_COMMAND_LONGER,
    PASSO_COMMAND_PAUSE,  PASSO_COMMAND_PAUSE,   PASSO_COMMAND_TURN,   PASSO_COMMAND_EXTEND,
    PASSO_COMMAND_LOUDER, PASSO_COMMAND_SOFTER,  PASSO_COMMAND_UNDO,   PASSO_COMMAND_VOID,
};

static struct troupe *drawn_day(struct passo_random *random)
{
    static const int32_t prepare_ms[] = {0, 0, 2000, 8000, 20000};
    struct troupe *troupe = troupe_new();
    size_t items = 1 + passo_random_below(random, 8);
    for (size_t i = 0; i < items; i++) {
        int32_t prepare = prepare_ms[passo_random_below(random, 5)];
        uint16_t passes = (uint16_t)(1 + passo_random_below(random, 4));
        if (passo_random_below(random, 3))
            add_block(troupe, "long tones", "Long tones.", prepare, passes);
        else
            add_visit(troupe, "visit: The run", "Visit.", prepare, passes);
        troupe->refuses[i] = passo_random_below(random, 12) == 0;
        troupe->item[i].over = passo_random_below(random, 10) == 0;
    }
    troupe->day.offers_rest = passo_random_below(random, 2);
    troupe->day.balance.since_long_ms = 880000;
    troupe->day.balance.weighted_ms = passo_random_below(random, 100000);
    double at_s = 0;
    for (size_t i = 0; i < 60; i++) {
        at_s += (double)passo_random_below(random, 9000) / 1000;
        enum passo_command command = commands[passo_random_below(random, 16)];
        band_add(&troupe->band, at_s, command, (int)command + 1);
    }
    if (passo_random_below(random, 4) == 0)
        band_add(&troupe->band, at_s + 1, PASSO_COMMAND_QUIT, 'q');
    return troupe;
}

/* What comes, by the rules: those that are not over, in order; put off, to the end, once. */
struct queue {
    size_t item[TROUPE_ITEMS];
    bool put_off[TROUPE_ITEMS];
    size_t first;
    size_t count;
};

static void work_in(struct queue *queue, const struct deed *deed)
{
    size_t item = queue->item[queue->first];
    assert_true(queue->count > 0);
    assert_int_equal(deed->item, item);
    if (deed->doing == PASSO_DOING_PUT_OFF) {
        assert_false(queue->put_off[item]);
        queue->put_off[item] = true;
        for (size_t i = 0; i + 1 < queue->count; i++)
            queue->item[queue->first + i] = queue->item[queue->first + i + 1];
        queue->item[queue->first + queue->count - 1] = item;
    } else if (deed->doing == PASSO_DOING_DONE || deed->doing == PASSO_DOING_SKIPPED) {
        queue->first++;
        queue->count--;
    }
}

static void judge(const struct troupe *troupe)
{
    struct queue queue = {.count = 0};
    bool begun = false;
    bool stopped = false;
    double at_s = 0;
    size_t done = 0;
    size_t skipped = 0;
    int64_t played_ms = 0;
    for (size_t i = 0; i < troupe->items; i++) {
        done += troupe->item[i].over;
        if (!troupe->item[i].over)
            queue.item[queue.count++] = i;
    }
    for (size_t i = 0; i < troupe->deeds; i++) {
        const struct deed *deed = &troupe->deed[i];
        assert_false(stopped);
        assert_true(deed->at_s >= at_s);
        at_s = deed->at_s;
        assert_false(begun && deed->doing == PASSO_DOING_BEGAN);
        assert_int_equal(deed->played, begun);
        assert_true(begun || deed->doing != PASSO_DOING_DONE);
        work_in(&queue, deed);
        begun = deed->doing == PASSO_DOING_BEGAN;
        stopped = deed->doing == PASSO_DOING_STOPPED;
        done += deed->doing == PASSO_DOING_DONE;
        skipped += deed->doing == PASSO_DOING_SKIPPED;
        played_ms += deed->played_ms;
    }
    const struct passo_day_result *result = &troupe->result;
    expect_serials(troupe);
    assert_false(begun); /* what began has ended */
    assert_int_equal(result->finished, queue.count == 0);
    assert_int_equal(result->left, queue.count);
    assert_int_equal(result->done, done);
    assert_int_equal(result->skipped, skipped);
    assert_int_equal(result->balance.played_ms, played_ms);
    assert_true(result->balance.rested_ms >= 0);
    if (stopped || queue.count == 0)
        assert_true((double)(played_ms + result->balance.rested_ms) / 1000 <= at_s + 0.01);
    assert_true(result->words[0] && strlen(result->words) + 1 < sizeof result->words);
}

static void whatever_is_pressed(void **state)
{
    (void)state;
    struct passo_random random;
    size_t finished = 0;
    size_t put_off = 0;
    passo_random_seed(&random, 20261130);
    for (size_t i = 0; i < DAYS; i++) {
        struct troupe *troupe = drawn_day(&random);
        troupe_run(troupe, NULL);
        judge(troupe);
        finished += troupe->result.finished;
        for (size_t j = 0; j < troupe->deeds; j++)
            put_off += troupe->deed[j].doing == PASSO_DOING_PUT_OFF;
        troupe_free(troupe);
    }
    /* The days are of all kinds. */
    assert_true(finished > DAYS / 10 && finished < DAYS);
    assert_true(put_off > DAYS / 10);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(whatever_is_pressed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
