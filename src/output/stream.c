/* PortAudio's callback: renders the player in mono and copies it to the device's channels. It runs
 * on PortAudio's thread for the host at hand; nothing in it allocates, locks, or reads a clock (the
 * time of day comes with the call). */
#include "output/stream.h"

#include <time.h>

#define NS_PER_S 1e9
#define SANE_S   2.0 /* a latency beyond this is a host's mistake */

/* When the first frame of this block leaves the loudspeaker, on the clock of Pa_GetStreamTime().
 * Some hosts leave the field empty; then the stream's own latency has to do. */
static double heard_s(const struct stream *stream, const PaStreamCallbackTimeInfo *time)
{
    double ahead_s = time->outputBufferDacTime - time->currentTime;
    if (ahead_s < 0.0 || ahead_s > SANE_S)
        ahead_s = stream->latency_s;
    return time->currentTime + ahead_s;
}

/* Spreads frames of mono over the channels. */
static void spread(const float *mono, float *out, size_t frames, int channels)
{
    for (size_t i = 0; i < frames; i++) {
        for (int c = 0; c < channels; c++)
            *out++ = mono[i];
    }
}

/* Fades the block; a straight line to 0, then silence. True: it has reached silence. */
static bool fade(struct stream *stream, float *mono, size_t frames)
{
    float whole = (float)(stream->rate_hz * STREAM_FADE_MS / 1000);
    for (size_t i = 0; i < frames; i++) {
        mono[i] *= (float)stream->fade_left / whole;
        if (stream->fade_left)
            stream->fade_left--;
    }
    return stream->fade_left == 0;
}

/* The player's next frames for a gate that is not shut. */
static void render(struct stream *stream, float *out, size_t frames, double first_s, int gate)
{
    for (size_t done = 0; done < frames;) {
        size_t part = frames - done;
        if (part > STREAM_BLOCK_FRAMES)
            part = STREAM_BLOCK_FRAMES;
        double at_s = first_s + (double)done / stream->rate_hz;
        passo_player_render(stream->player, stream->mono, part, (int64_t)(at_s * NS_PER_S));
        if (gate == GATE_FADING && fade(stream, stream->mono, part))
            atomic_store(&stream->gate, GATE_SHUT);
        spread(stream->mono, out + done * (size_t)stream->channels, part, stream->channels);
        done += part;
    }
}

int passo_stream_callback(const void *in, void *out, unsigned long frames,
                          const PaStreamCallbackTimeInfo *time, PaStreamCallbackFlags flags,
                          void *user)
{
    (void)in;
    struct stream *stream = user;
    atomic_store(&stream->inside, true);
    int gate = atomic_load(&stream->gate);
    if (gate == GATE_SHUT) {
        for (size_t i = 0; i < frames * (size_t)stream->channels; i++)
            ((float *)out)[i] = 0.0F;
    } else {
        bool slipped = passo_lag_slipped(&stream->lag, time->currentTime, frames, stream->rate_hz);
        if (slipped || (flags & paOutputUnderflow))
            passo_player_late(stream->player);
        render(stream, out, frames, heard_s(stream, time), gate);
    }
    atomic_store(&stream->inside, false);
    atomic_store_explicit(&stream->thread, pthread_self(), memory_order_relaxed);
    /* release: who sees a block counted also sees the thread. */
    atomic_fetch_add_explicit(&stream->blocks, 1, memory_order_release);
    return paContinue;
}

void passo_stream_shut(struct stream *stream)
{
    atomic_store(&stream->gate, GATE_SHUT);
    const struct timespec moment = {.tv_nsec = 500000};
    while (atomic_load(&stream->inside))
        nanosleep(&moment, NULL);
}
