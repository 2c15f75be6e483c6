/* Outputs: what drives a player. One interface, several rooms: portaudio.c (a sound device),
 * silent.c (the monotonic clock, no sound), simulated.c (time that jumps: scripts and tests),
 * file.c (time that jumps, into a sound file). To add one: write its table of functions, declare it
 * below, choose it in command/staging.c. */
#ifndef PASSO_OUTPUT_OUTPUT_H
#define PASSO_OUTPUT_OUTPUT_H

#include <passo/error.h>
#include "sound/player.h"

struct passo_output;
struct passo_file_job;

/* What a device tells before it is opened. */
struct passo_output_ask {
    const char *device; /* part of a device's name, or its number; NULL: the default device */
    uint32_t rate_hz;   /* wished rate; 0: the device's own */
    struct passo_file_job *file; /* of the file output alone (output/file.h) */
};

struct passo_output_ops {
    const char *name;
    /* Opens the device and finds the rate it will run at; sound does not start yet. out_fault gets
     * one sentence on failure. Errors: PASSO_ERR_DEVICE. */
    enum passo_error (*open)(const struct passo_output_ask *ask, struct passo_output **out_output,
                             char *out_fault, size_t fault_bytes);
    /* Begins to drive the player (whose kit has this output's rate). Errors: PASSO_ERR_DEVICE. */
    enum passo_error (*start)(struct passo_output *output, struct passo_player *player);
    /* Stops driving; what sounds fades first. After it no thread of the output touches the player,
     * whose pass and commands stay as they are: another output may go on with it. Idempotent. */
    void (*stop)(struct passo_output *output);
    /* stop, then free. NULL is fine. */
    void (*close)(struct passo_output *output);
    uint32_t (*rate_hz)(const struct passo_output *output);
    /* The clock in which notices' heard_ns are given. */
    int64_t (*now_ns)(const struct passo_output *output);
    /* False once the device is gone (unplugged, its server killed, or its callback silent for
     * over 1.5 s; 4 s while it wakes up). Call it about every 250 ms or oftener while running. */
    bool (*alive)(struct passo_output *output);
    /* Simulated time only, else NULL: moves the clock to `until_ns`, rendering on the way. */
    void (*advance)(struct passo_output *output, int64_t until_ns);
};

/* The first member of each output's own struct. */
struct passo_output {
    const struct passo_output_ops *ops;
};

extern const struct passo_output_ops passo_output_portaudio;
extern const struct passo_output_ops passo_output_silent;
extern const struct passo_output_ops passo_output_simulated;

/* One output device, for `passo devices`. */
struct passo_device {
    int number;
    char name[128];
    char system[64]; /* "ALSA", "JACK Audio Connection Kit" */
    double rate_hz;
    double latency_ms; /* the device's default low output latency */
    int channels;
    bool is_default;
};

/* The output devices, at most `capacity`; returns how many there are. The library's own chatter
 * is kept, see below. */
size_t passo_devices(struct passo_device *out_devices, size_t capacity);
/* What the sound libraries have printed on stderr so far; "" if nothing. Valid until the next
 * call. It never reaches the terminal: stderr is diverted while PortAudio is in use. */
const char *passo_devices_chatter(void);
/* A file descriptor of the true stderr, also while it is diverted (for a last word on a crash). */
int passo_devices_stderr(void);

#endif
