/* Any bytes as a passage file: read and resolved, it never crashes, and its faults are clear. What
 * resolves without a fault is written and reads back, and its course can be played. */
#include "fuzz.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t bytes)
{
    static struct fuzz_trial trial;
    struct passo_random random;
    fuzz_memory_begin();
    fuzz_seed(&random, data, bytes);
    fuzz_trial_file(&trial, data, bytes, false);
    fuzz_check_faults(&trial.faults);
    if (trial.faults.faults == 0) {
        fuzz_check_write(&trial);
        if (trial.setup.rule.target_mbpm)
            fuzz_check_course(&trial.setup, &random);
    }
    fuzz_trial_end(&trial);
    fuzz_memory_end();
    return 0;
}
