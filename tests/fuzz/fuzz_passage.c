/* Any bytes as a passage file: read and resolved, it never crashes; what resolves without a fault
 * is accepted by the ladder and gives a pass that can be built. */
#include "fuzz.h"
#include "text/setup.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t bytes)
{
    static struct passo_setup setup;
    static struct passo_ladder ladder;
    struct passo_lines lines = {0};
    struct passo_faults faults = {0};
    struct passo_turn turn[PASSO_TURNS_MAX];
    char path[64];
    char fault[256];
    int fd = fuzz_file(data, bytes, path, sizeof path);
    passo_lines_add_file(&lines, path, &faults);
    passo_setup_resolve(&lines, true, &setup, &faults);
    if (faults.faults == 0) {
        size_t turns = passo_passage_turns(&setup.passage, turn);
        if (passo_ladder_init(&ladder, &setup.rule, turns, fault, sizeof fault) != PASSO_OK)
            abort();
        struct passo_pass_shape shape = {.passage = &setup.passage,
                                         .loop = &setup.passage.context,
                                         .pulse = &setup.pulse,
                                         .mbpm = ladder.rung_mbpm[ladder.rungs - 1]};
        free(passo_timeline_build(&shape, 1, (struct passo_instant){0, 0}, 48000));
    }
    passo_lines_deinit(&lines);
    passo_faults_deinit(&faults);
    close(fd);
    return 0;
}
