/* Calls into the sound library that may hang (its server was killed or does not answer), made so
 * that the caller never does. Private to the room. */
#ifndef PASSO_OUTPUT_BOUNDED_H
#define PASSO_OUTPUT_BOUNDED_H

enum passo_call {
    PASSO_CALL_DONE,    /* the job is the caller's again */
    PASSO_CALL_HANGS,   /* the call goes on; the job is its own */
    PASSO_CALL_REFUSED, /* an earlier call still hangs; the job is the caller's, untouched */
};

/* Runs work(job) in a thread of its own and waits for it, at most timeout_ms. One that goes on
 * after that calls forsake(job) should it ever end. One call at a time is in the library: PortAudio
 * is not thread-safe. Thread: control. Blocks: up to timeout_ms. */
enum passo_call passo_bounded(void (*work)(void *job), void (*forsake)(void *job), void *job,
                              int timeout_ms);

#endif
