/* Earlier days out of the log: its rows, handed to the gathering of past.c. Runs on the main
 * thread.
 */
#include "store/past.h"

static void take_log_row(void *user, const struct passo_row *row)
{
    (void)passo_past_take(user, row); /* a beat unit that cannot be read: passed over */
}

enum passo_error passo_past_read_log(struct passo_log *log, const struct passo_past_wish *wish,
                                     struct passo_past_log *out_log, char *out_fault,
                                     size_t fault_bytes)
{
    const struct passo_log_wish rows = {.player = wish->player,
                                        .passage = wish->passage,
                                        .piece = wish->piece[0] ? wish->piece : NULL,
                                        .to_day = wish->today};
    struct passo_past_gathering *gathering = passo_past_begin(wish);
    enum passo_error error =
        passo_log_rows(log, &rows, take_log_row, gathering, out_fault, fault_bytes);
    passo_past_settle(gathering, out_log);
    if (error != PASSO_OK)
        passo_past_deinit(out_log);
    return error;
}
