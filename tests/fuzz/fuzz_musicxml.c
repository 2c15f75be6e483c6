/* Any bytes as MusicXML; those that begin as an archive does are unpacked first. */
#include "check_score.h"

enum { FAULT_BYTES = 512 };

static enum passo_error read_any(const uint8_t *data, size_t bytes,
                                 const struct passo_score_ask *ask, struct passo_score *out_score,
                                 char *out_fault)
{
    char *text = NULL;
    size_t text_bytes = 0;
    *out_score = (struct passo_score){0};
    if (bytes < 2 || memcmp(data, "PK", 2) != 0)
        return passo_musicxml_read((const char *)data, bytes, ask, out_score, out_fault,
                                   FAULT_BYTES);
    enum passo_error error =
        passo_mxl_unpack(data, bytes, &text, &text_bytes, out_fault, FAULT_BYTES);
    if (!error)
        error = passo_musicxml_read(text, text_bytes, ask, out_score, out_fault, FAULT_BYTES);
    free(text);
    return error;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t bytes)
{
    struct passo_random random;
    struct passo_score score;
    struct passo_score_ask ask;
    char fault[FAULT_BYTES] = "";
    fuzz_seed(&random, data, bytes);
    fuzz_score_ask(&random, &ask);
    fuzz_memory_begin();
    if (read_any(data, bytes, &ask, &score, fault)) {
        fuzz_check_score_fault(&score, fault);
    } else {
        fuzz_check_score(&score, &random);
        passo_score_deinit(&score);
    }
    fuzz_memory_end();
    return 0;
}
