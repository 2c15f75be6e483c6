/* Preloaded into passo: tells when its first sound leaves the loudspeaker, as PortAudio reckons.
 *
 * It stands before Pa_OpenStream and looks at what the callback has put out. In the first block
 * that is not silent it notes the clock, the sample's place in the block and the time that
 * PortAudio says lies between now and the block's first sample at the converter; a thread of its
 * own then writes the moment, in nanoseconds of CLOCK_MONOTONIC, into the file $PASSO_PROBE_FILE.
 */
#include <dlfcn.h>
#include <portaudio.h>
#include <pthread.h>
#include <stdatomic.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>
#include <unistd.h>

static PaStreamCallback *passo_callback;
static double rate_hz;
static int channels;
static atomic_llong moment_ns;

static void *tell(void *unused)
{
    const char *path = getenv("PASSO_PROBE_FILE");
    while (atomic_load(&moment_ns) == 0)
        usleep(2000);
    FILE *file = path != NULL ? fopen(path, "w") : NULL;
    if (file != NULL) {
        fprintf(file, "%lld\n", atomic_load(&moment_ns));
        fclose(file);
    }
    return unused;
}

static void look(const float *out, unsigned long frames, const PaStreamCallbackTimeInfo *time_info)
{
    unsigned long first = 0;
    while (first < frames && !(out[first * (unsigned long)channels] > 1e-4f) &&
           !(out[first * (unsigned long)channels] < -1e-4f))
        first++;
    if (first == frames)
        return;
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    double ahead_s = time_info->outputBufferDacTime - time_info->currentTime;
    if (ahead_s < 0)
        ahead_s = 0;
    ahead_s += (double)first / rate_hz;
    atomic_store(&moment_ns,
                 (long long)now.tv_sec * 1000000000 + now.tv_nsec + (long long)(ahead_s * 1e9));
}

static int watched(const void *in, void *out, unsigned long frames,
                   const PaStreamCallbackTimeInfo *time_info, PaStreamCallbackFlags flags,
                   void *data)
{
    int result = passo_callback(in, out, frames, time_info, flags, data);
    if (atomic_load(&moment_ns) == 0)
        look(out, frames, time_info);
    return result;
}

PaError Pa_OpenStream(PaStream **stream, const PaStreamParameters *in,
                      const PaStreamParameters *out, double rate, unsigned long frames,
                      PaStreamFlags flags, PaStreamCallback *callback, void *data)
{
    PaError (*real)(PaStream **, const PaStreamParameters *, const PaStreamParameters *, double,
                    unsigned long, PaStreamFlags, PaStreamCallback *, void *);
    pthread_t thread;
    *(void **)&real = dlsym(RTLD_NEXT, "Pa_OpenStream");
    if (out == NULL || callback == NULL || passo_callback != NULL)
        return real(stream, in, out, rate, frames, flags, callback, data);
    passo_callback = callback;
    rate_hz = rate;
    channels = out->channelCount;
    if (pthread_create(&thread, NULL, tell, NULL) == 0)
        pthread_detach(thread);
    return real(stream, in, out, rate, frames, flags, watched, data);
}
