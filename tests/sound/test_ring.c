/* The ring: order, full and empty at tiny capacities, wrapped counters, and two threads that check
 * every payload. */
#include "help.h"

#include <pthread.h>
#include <sched.h>

struct payload {
    uint64_t number;
    uint64_t square;
    unsigned char bytes[9]; /* not a multiple of the others' size */
};

static struct payload payload_of(uint64_t number)
{
    struct payload payload = {.number = number, .square = number * number};
    memset(payload.bytes, (int)(number % 251), sizeof payload.bytes);
    return payload;
}

static void check_payload(const struct payload *payload, uint64_t number)
{
    struct payload wanted = payload_of(number);
    assert_int_equal(payload->number, wanted.number);
    assert_int_equal(payload->square, wanted.square);
    assert_memory_equal(payload->bytes, wanted.bytes, sizeof wanted.bytes);
}

static void fill_and_empty(size_t capacity, size_t counters_from)
{
    struct passo_ring ring;
    struct payload out;
    passo_ring_init(&ring, capacity, sizeof(struct payload));
    atomic_store(&ring.written, counters_from);
    atomic_store(&ring.read, counters_from);
    assert_false(passo_ring_get(&ring, &out));
    uint64_t in_number = 0;
    uint64_t out_number = 0;
    for (int round = 0; round < 10; round++) {
        for (size_t used = passo_ring_used(&ring); used < capacity; used++) {
            struct payload in = payload_of(in_number++);
            assert_true(passo_ring_put(&ring, &in));
            assert_int_equal(passo_ring_used(&ring), used + 1);
        }
        struct payload over = payload_of(999);
        assert_false(passo_ring_put(&ring, &over));
        /* All but one out, so that the next round begins at another slot. */
        while (passo_ring_used(&ring) > (size_t)(round % 2)) {
            assert_true(passo_ring_get(&ring, &out));
            check_payload(&out, out_number++);
        }
    }
    passo_ring_deinit(&ring);
}

static void test_tiny_rings(void **state)
{
    (void)state;
    fill_and_empty(2, 0);
    fill_and_empty(4, 0);
    fill_and_empty(64, 0);
}

/* The counters run free: they also wrap. */
static void test_counters_wrap(void **state)
{
    (void)state;
    fill_and_empty(2, SIZE_MAX - 1);
    fill_and_empty(4, SIZE_MAX - 6);
}

struct stream {
    struct passo_ring ring;
    uint64_t count;
};

static void *write_all(void *argument)
{
    struct stream *stream = argument;
    for (uint64_t i = 0; i < stream->count; i++) {
        struct payload payload = payload_of(i);
        while (!passo_ring_put(&stream->ring, &payload))
            sched_yield();
    }
    return NULL;
}

static void check_threads(size_t capacity)
{
    struct stream stream = {.count = 50000};
    pthread_t writer;
    passo_ring_init(&stream.ring, capacity, sizeof(struct payload));
    assert_int_equal(pthread_create(&writer, NULL, write_all, &stream), 0);
    for (uint64_t i = 0; i < stream.count; i++) {
        struct payload payload;
        while (!passo_ring_get(&stream.ring, &payload))
            sched_yield();
        check_payload(&payload, i);
    }
    pthread_join(writer, NULL);
    assert_int_equal(passo_ring_used(&stream.ring), 0);
    passo_ring_deinit(&stream.ring);
}

static void test_two_threads(void **state)
{
    (void)state;
    check_threads(2);
    check_threads(4);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_tiny_rings),
        cmocka_unit_test(test_counters_wrap),
        cmocka_unit_test(test_two_threads),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
