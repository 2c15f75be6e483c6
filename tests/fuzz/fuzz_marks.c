/* Any bytes as a stream of marks, played through the ladder: it never leaves its rungs, and it
 * ends or the marks do. */
#include "fuzz.h"
#include "session/marker.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t bytes)
{
    static struct passo_ladder ladder;
    static struct passo_ladder_state state;
    struct passo_marker marker;
    struct passo_rule rule = passo_rule_default();
    char path[64];
    char fault[512];
    rule.target_mbpm = 96000;
    if (bytes > 0) { /* the first byte chooses how turns and misses go */
        rule.turn = (enum passo_turning)(data[0] % PASSO_TURN_COUNT);
        rule.miss = (enum passo_miss)(data[0] / 4 % PASSO_MISS_COUNT);
        rule.unmarked = (enum passo_unmarked)(data[0] / 16 % PASSO_UNMARKED_COUNT);
        data++;
        bytes--;
    }
    if (passo_ladder_init(&ladder, &rule, 2, fault, sizeof fault) != PASSO_OK)
        abort();
    int fd = fuzz_file(data, bytes, path, sizeof path);
    if (passo_marker_script(&marker, path, fault, sizeof fault) == PASSO_OK) {
        passo_ladder_begin(&ladder, &state);
        while (passo_marker_peek(&marker) != PASSO_SIGN_END) {
            struct passo_plan plan = passo_ladder_next(&ladder, &state);
            struct passo_ladder_event event = {.type = PASSO_LADDER_PASS,
                                               .part = plan.part,
                                               .rung = plan.rung,
                                               .turn = plan.turn,
                                               .mark = passo_marker_take(&marker, plan.mbpm)};
            passo_ladder_apply(&ladder, &state, &event);
            if (state.rung >= ladder.rungs || state.turn >= 2)
                abort();
        }
        passo_marker_deinit(&marker);
    }
    close(fd);
    return 0;
}
