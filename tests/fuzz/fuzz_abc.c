/* Any bytes as ABC. */
#include "check_score.h"

enum { FAULT_BYTES = 512 };

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t bytes)
{
    struct passo_random random;
    struct passo_score score;
    struct passo_score_ask ask;
    char fault[FAULT_BYTES] = "";
    fuzz_seed(&random, data, bytes);
    fuzz_score_ask(&random, &ask);
    fuzz_memory_begin();
    if (passo_abc_read((const char *)data, bytes, &ask, &score, fault, sizeof fault)) {
        fuzz_check_score_fault(&score, fault);
    } else {
        fuzz_check_score(&score, &random);
        passo_score_deinit(&score);
    }
    fuzz_memory_end();
    return 0;
}
