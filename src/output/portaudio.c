/* The sound device, through PortAudio. Opening and closing initialize and terminate the library
 * each time, so that a device that came back is seen. Every call that may hang when a sound server
 * dies is made in a bounded call (bounded.h); one that does hang is given up with all it holds.
 *
 * Threads: all functions here run on the control side; the callback (stream.c) on PortAudio's.
 * Life: open -> start <-> stop -> close. `owners` counts who still needs the object: the caller,
 * and a call that hangs. The last of them frees it. */
#include "output/bounded.h"
#include "output/chatter.h"
#include "output/devices.h"
#include "output/stream.h"

#include <dlfcn.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#define LATENCY_S        0.05 /* asked of the device at least: low, and safe on a busy machine */
#define OPEN_TIMEOUT_MS  4000
#define CLOSE_TIMEOUT_MS 1500
#define FADE_WAIT_MS     100
#define GONE_NS          INT64_C(1500000000)
/* A device that wakes up may take its first blocks at once and then none for seconds. */
#define WAKE_NS INT64_C(4000000000)
/* A longer pause between two looks is the program's own (it was stopped), not the device's. */
#define LOOK_NS       INT64_C(500000000)
#define FIFO_PRIORITY 10

enum state {
    STATE_CLOSED,  /* no stream */
    STATE_OPEN,    /* the stream stands still */
    STATE_RUNNING, /* the callback drives a player */
    STATE_LOST,    /* a call hangs: it alone may touch the stream */
};

struct device {
    struct passo_output output;
    struct stream stream;
    PaStream *handle;
    atomic_int owners;
    enum state state;
    PaError error; /* of the last bounded call */

    /* what open works on; copies, for a call that hangs outlives the caller */
    char *asked_device;
    uint32_t asked_hz;
    char fault[256];

    /* what alive() saw last */
    int64_t started_ns;
    unsigned seen_blocks;
    int64_t seen_ns;
    int64_t quiet_ns;
    bool priority_known;
    int64_t clock_ahead_ns; /* the stream's clock less the monotonic one, for when it is lost */
};

static int64_t monotonic_ns(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return now.tv_sec * INT64_C(1000000000) + now.tv_nsec;
}

static void pause_ms(int ms)
{
    const struct timespec span = {.tv_sec = ms / 1000, .tv_nsec = ms % 1000 * 1000000L};
    nanosleep(&span, NULL);
}

static void release(struct device *device)
{
    if (atomic_fetch_sub(&device->owners, 1) > 1)
        return;
    free(device->asked_device);
    free(device);
}

/* --- work for bounded calls --- */

static PaError open_at(struct device *device, PaDeviceIndex index, double rate_hz)
{
    const PaDeviceInfo *info = Pa_GetDeviceInfo(index);
    device->stream.channels = info->maxOutputChannels < 2 ? 1 : 2;
    double low_s = info->defaultLowOutputLatency;
    PaStreamParameters wish = {
        .device = index,
        .channelCount = device->stream.channels,
        .sampleFormat = paFloat32,
        .suggestedLatency = low_s > LATENCY_S ? low_s : LATENCY_S,
    };
    return Pa_OpenStream(&device->handle, NULL, &wish, rate_hz, paFramesPerBufferUnspecified,
                         paNoFlag, passo_stream_callback, &device->stream);
}

/* Opens the chosen device at the wished rate, or at its own where that is refused. */
static void open_chosen(struct device *device)
{
    PaDeviceIndex index =
        passo_device_choose(device->asked_device, device->fault, sizeof device->fault);
    if (index < 0)
        return;
    const PaDeviceInfo *info = Pa_GetDeviceInfo(index);
    double own_hz = info->defaultSampleRate;
    device->error = open_at(device, index, device->asked_hz ? device->asked_hz : own_hz);
    if (device->error == paInvalidSampleRate && device->asked_hz)
        device->error = open_at(device, index, own_hz);
    if (device->error != paNoError) {
        device->handle = NULL;
        snprintf(device->fault, sizeof device->fault,
                 "the sound device \"%.80s\" cannot be opened: %s", info->name,
                 Pa_GetErrorText(device->error));
        return;
    }
    const PaStreamInfo *running = Pa_GetStreamInfo(device->handle);
    device->stream.rate_hz = (uint32_t)(running->sampleRate + 0.5);
    device->stream.latency_s = running->outputLatency;
    device->state = STATE_OPEN;
}

static void leave_library(void)
{
    Pa_Terminate();
    passo_chatter_end();
}

/* Probing every ALSA device loads every ALSA plugin, and with one of them a whole media library; a
 * running climb need not keep those 11 MiB. ALSA frees them when its configuration is freed, and
 * reads that again when it is needed. Looked up by name: PortAudio brings ALSA only on Linux. */
static void forget_probed_plugins(void)
{
    union {
        void *symbol;
        int (*call)(void);
    } forget = {.symbol = dlsym(RTLD_DEFAULT, "snd_config_update_free_global")};
    if (forget.symbol)
        forget.call();
}

static void open_work(void *argument)
{
    struct device *device = argument;
    passo_chatter_begin();
    PaError error = Pa_Initialize();
    if (error != paNoError) {
        snprintf(device->fault, sizeof device->fault, "the sound system cannot be used: %s",
                 Pa_GetErrorText(error));
        passo_chatter_end();
        return;
    }
    forget_probed_plugins();
    open_chosen(device);
    if (device->state != STATE_OPEN)
        leave_library();
}

static void start_work(void *argument)
{
    struct device *device = argument;
    device->error = Pa_StartStream(device->handle);
}

static void stop_work(void *argument)
{
    struct device *device = argument;
    if (Pa_IsStreamActive(device->handle) == 1)
        device->error = Pa_StopStream(device->handle);
    else
        device->error = Pa_AbortStream(device->handle);
}

static void close_work(void *argument)
{
    struct device *device = argument;
    Pa_CloseStream(device->handle);
    leave_library();
    device->handle = NULL;
}

/* A call that hung has come back, and nobody waits for the stream any more. */
static void forsake(void *argument)
{
    struct device *device = argument;
    if (device->handle)
        close_work(device);
    release(device);
}

/* --- the control side --- */

/* Unless it is done, the call stays an owner: one that hangs is not over, and one that was refused
 * left a stream behind whose callback may still come. */
static enum passo_call call(struct device *device, void (*work)(void *), int timeout_ms)
{
    atomic_fetch_add(&device->owners, 1);
    enum passo_call outcome = passo_bounded(work, forsake, device, timeout_ms);
    if (outcome == PASSO_CALL_DONE)
        atomic_fetch_sub(&device->owners, 1);
    return outcome;
}

static enum passo_error portaudio_open(const struct passo_output_ask *ask,
                                       struct passo_output **out_output, char *out_fault,
                                       size_t fault_bytes)
{
    struct device *device = passo_xcalloc(1, sizeof *device);
    device->output.ops = &passo_output_portaudio;
    device->asked_device = ask->device ? strdup(ask->device) : NULL;
    device->asked_hz = ask->rate_hz;
    atomic_init(&device->owners, 1);
    enum passo_call outcome = call(device, open_work, OPEN_TIMEOUT_MS);
    if (outcome == PASSO_CALL_DONE && device->state == STATE_OPEN) {
        *out_output = &device->output;
        return PASSO_OK;
    }
    bool answered = outcome == PASSO_CALL_DONE;
    snprintf(out_fault, fault_bytes, "%s",
             answered ? device->fault
                      : "the sound system does not answer; if that lasts, start passo anew");
    if (outcome == PASSO_CALL_REFUSED)
        release(device); /* for the call: no stream was opened */
    release(device);
    return PASSO_ERR_DEVICE;
}

static enum passo_error portaudio_start(struct passo_output *output, struct passo_player *player)
{
    struct device *device = (struct device *)output;
    struct stream *stream = &device->stream;
    if (device->state == STATE_LOST)
        return PASSO_ERR_DEVICE;
    PASSO_BUG_ON(device->state != STATE_OPEN || passo_player_rate_hz(player) != stream->rate_hz);
    stream->player = player;
    stream->fade_left = stream->rate_hz * STREAM_FADE_MS / 1000;
    stream->lag = (struct lag){0};
    atomic_store(&stream->blocks, 0);
    atomic_store(&stream->gate, GATE_OPEN);
    device->seen_blocks = 0;
    device->started_ns = device->seen_ns = monotonic_ns();
    device->quiet_ns = 0;
    device->priority_known = false;
    if (call(device, start_work, OPEN_TIMEOUT_MS) != PASSO_CALL_DONE) {
        device->state = STATE_LOST;
        passo_stream_shut(stream);
        return PASSO_ERR_DEVICE;
    }
    if (device->error != paNoError) {
        passo_stream_shut(stream);
        return PASSO_ERR_DEVICE;
    }
    device->state = STATE_RUNNING;
    device->clock_ahead_ns = (int64_t)(Pa_GetStreamTime(device->handle) * 1e9) - monotonic_ns();
    return PASSO_OK;
}

/* Lets what sounds fade and the faded frames leave the device; a dead one is not waited for. */
static void fade_out(struct device *device)
{
    struct stream *stream = &device->stream;
    int open = GATE_OPEN;
    atomic_compare_exchange_strong(&stream->gate, &open, GATE_FADING);
    int waited_ms = 0;
    while (atomic_load(&stream->gate) != GATE_SHUT && waited_ms < FADE_WAIT_MS) {
        pause_ms(2);
        waited_ms += 2;
    }
    int latency_ms = (int)(stream->latency_s * 1000.0);
    if (atomic_load(&stream->gate) == GATE_SHUT)
        pause_ms(latency_ms < FADE_WAIT_MS ? latency_ms : FADE_WAIT_MS);
}

static void portaudio_stop(struct passo_output *output)
{
    struct device *device = (struct device *)output;
    if (device->state != STATE_RUNNING)
        return;
    if (Pa_IsStreamActive(device->handle) == 1)
        fade_out(device);
    passo_stream_shut(&device->stream);
    bool stopped = call(device, stop_work, CLOSE_TIMEOUT_MS) == PASSO_CALL_DONE;
    device->state = stopped ? STATE_OPEN : STATE_LOST;
}

static void portaudio_close(struct passo_output *output)
{
    if (!output)
        return;
    struct device *device = (struct device *)output;
    portaudio_stop(output);
    if (device->state == STATE_OPEN)
        (void)call(device, close_work, CLOSE_TIMEOUT_MS);
    release(device);
}

static uint32_t portaudio_rate_hz(const struct passo_output *output)
{
    return ((const struct device *)output)->stream.rate_hz;
}

static int64_t portaudio_now_ns(const struct passo_output *output)
{
    const struct device *device = (const struct device *)output;
    if (device->state == STATE_LOST)
        return monotonic_ns() + device->clock_ahead_ns;
    return (int64_t)(Pa_GetStreamTime(device->handle) * 1e9);
}

/* Asks for real-time priority for the callback's thread, reads it back, and keeps one line of it.
 * PortAudio does not ask on every host; without it a busy machine may lose frames. */
static void ask_priority(struct device *device)
{
    pthread_t thread = atomic_load_explicit(&device->stream.thread, memory_order_relaxed);
    int policy = SCHED_OTHER;
    struct sched_param param = {0};
    device->priority_known = true;
    if (pthread_getschedparam(thread, &policy, &param) == 0 && policy == SCHED_OTHER) {
        param.sched_priority = FIFO_PRIORITY;
        int refused = pthread_setschedparam(thread, SCHED_FIFO, &param);
        policy = refused ? SCHED_OTHER : SCHED_FIFO;
    }
    passo_chatter_note(policy == SCHED_OTHER
                           ? "passo: the sound thread runs without real-time priority"
                           : "passo: the sound thread runs with real-time priority");
}

static bool portaudio_alive(struct passo_output *output)
{
    struct device *device = (struct device *)output;
    if (device->state != STATE_RUNNING)
        return device->state == STATE_OPEN;
    if (Pa_IsStreamActive(device->handle) != 1)
        return false;
    unsigned blocks = atomic_load_explicit(&device->stream.blocks, memory_order_acquire);
    int64_t now_ns = monotonic_ns();
    int64_t since_ns = now_ns - device->seen_ns;
    device->seen_ns = now_ns;
    if (blocks != device->seen_blocks) {
        if (!device->priority_known)
            ask_priority(device);
        device->seen_blocks = blocks;
        device->quiet_ns = 0;
        return true;
    }
    device->quiet_ns += since_ns < LOOK_NS ? since_ns : LOOK_NS;
    bool wakes = now_ns - device->started_ns < WAKE_NS;
    return device->quiet_ns <= (wakes ? WAKE_NS : GONE_NS);
}

const struct passo_output_ops passo_output_portaudio = {
    .name = "portaudio",
    .open = portaudio_open,
    .start = portaudio_start,
    .stop = portaudio_stop,
    .close = portaudio_close,
    .rate_hz = portaudio_rate_hz,
    .now_ns = portaudio_now_ns,
    .alive = portaudio_alive,
};
