/* What the log has of the filed passages, as the table shows it. Runs on the main thread. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "command/list_parts.h"
#include "command/logbook.h"
#include "command/practice.h"

static void write_secure(const struct passo_secure *secure, char out[16])
{
    switch (secure->kind) {
    case PASSO_SECURE_UNKNOWN:
    case PASSO_SECURE_KIND_COUNT:
        strcpy(out, "-");
        break;
    case PASSO_SECURE_FITTED:
        snprintf(out, 16, "%.0f", round(secure->bpm));
        break;
    case PASSO_SECURE_AT_LEAST:
        snprintf(out, 16, "%.0f+", round(secure->bpm));
        break;
    case PASSO_SECURE_UNDER:
        snprintf(out, 16, "<%.0f", round(secure->bpm));
        break;
    }
}

static enum passo_error read_all(struct passo_log *log, const struct passo_options *options,
                                 const struct list_passage *passage, size_t passages,
                                 struct passo_practice *out_found, char *out_fault,
                                 size_t fault_bytes)
{
    const struct passo_practice_wish wish = {.player = options->player,
                                             .from_day = options->from_day,
                                             .to_day = options->to_day,
                                             .today = options->lines.today_yyyymmdd};
    struct passo_practice_ask *ask = passo_xcalloc(passages + 1, sizeof *ask);
    for (size_t i = 0; i < passages; i++) {
        if (passage[i].own && !passage[i].fault[0])
            ask[i] = (struct passo_practice_ask){.title = passage[i].title,
                                                 .piece = passage[i].piece,
                                                 .beat = passage[i].beat,
                                                 .target_mbpm = passage[i].target_mbpm};
    }
    enum passo_error error =
        passo_practice_read(log, &wish, ask, passages, out_found, out_fault, fault_bytes);
    free(ask);
    return error;
}

bool list_practice_read(const struct passo_options *options, const struct list_passage *passage,
                        size_t passages, struct list_practice *out_practice)
{
    char fault[PASSO_PATH_BYTES + 256];
    enum passo_exit ended;
    struct passo_log *log;
    if (!passo_logbook_open(options, PASSO_LOG_LOOK, &log, &ended))
        return false;
    struct passo_practice *found = passo_xcalloc(passages + 1, sizeof *found);
    enum passo_error error = read_all(log, options, passage, passages, found, fault, sizeof fault);
    if (error != PASSO_OK)
        passo_tell(fault);
    for (size_t i = 0; i < passages; i++) {
        struct list_practice *practice = &out_practice[i];
        *practice = (struct list_practice){.passes = found[i].passes,
                                           .play_ns = found[i].play_ns,
                                           .best_mbpm = found[i].best_mbpm,
                                           .last_day = found[i].last_day,
                                           .due = found[i].due};
        write_secure(&found[i].secure, practice->secure);
    }
    free(found);
    passo_log_close(log);
    return error == PASSO_OK;
}
