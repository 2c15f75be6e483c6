/* Records what passo sends to JACK, frame for frame: raw 32-bit floats, one channel.
 *
 *   rig_jack_record SOURCE RAW     SOURCE: part of an output port's name, e.g. PortAudio
 *
 * Waits until such a port appears, hangs on to it, records until SIGTERM or SIGINT, then says how
 * many cycles the server lost. Two threads: JACK's calls process(), which only copies into a ring;
 * main connects and writes the file. Exit status: 0 recorded, 1 the ring overflowed, 2 no server.
 */
#include <jack/jack.h>
#include <jack/ringbuffer.h>

#include <signal.h>
#include <stdatomic.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#define RING_BYTES (4u << 20)

static jack_port_t *ear;
static jack_ringbuffer_t *ring;
static atomic_int overflows;
static atomic_int xruns;
static volatile sig_atomic_t ending;

static int process(jack_nframes_t frames, void *unused)
{
    (void)unused;
    const char *in = jack_port_get_buffer(ear, frames);
    size_t bytes = frames * sizeof(float);
    if (jack_ringbuffer_write(ring, in, bytes) != bytes)
        atomic_fetch_add(&overflows, 1);
    return 0;
}

static int count_xrun(void *unused)
{
    (void)unused;
    atomic_fetch_add(&xruns, 1);
    return 0;
}

static void end(int signal_number)
{
    (void)signal_number;
    ending = 1;
}

/* True once the first output port whose name holds `source` is connected to ours. */
static int connect_to(jack_client_t *client, const char *source)
{
    const char **port = jack_get_ports(client, NULL, JACK_DEFAULT_AUDIO_TYPE, JackPortIsOutput);
    int done = 0;
    for (size_t i = 0; port != NULL && port[i] != NULL && !done; i++) {
        if (strstr(port[i], source) != NULL)
            done = jack_connect(client, port[i], jack_port_name(ear)) == 0;
    }
    jack_free(port);
    return done;
}

static void drain(FILE *file)
{
    char block[16384];
    size_t got;
    while ((got = jack_ringbuffer_read(ring, block, sizeof block)) > 0)
        fwrite(block, 1, got, file);
}

static jack_client_t *open_client(void)
{
    jack_client_t *client = jack_client_open("passo_rig", JackNoStartServer, NULL);
    if (client == NULL)
        return NULL;
    ring = jack_ringbuffer_create(RING_BYTES);
    ear = jack_port_register(client, "ear", JACK_DEFAULT_AUDIO_TYPE, JackPortIsInput, 0);
    jack_set_process_callback(client, process, NULL);
    jack_set_xrun_callback(client, count_xrun, NULL);
    if (ring == NULL || ear == NULL || jack_activate(client) != 0) {
        jack_client_close(client);
        return NULL;
    }
    return client;
}

int main(int argc, char **argv)
{
    FILE *file = argc == 3 ? fopen(argv[2], "wb") : NULL;
    jack_client_t *client = file != NULL ? open_client() : NULL;
    if (client == NULL) {
        fputs("rig_jack_record SOURCE RAW: no file or no JACK server\n", stderr);
        if (file != NULL)
            fclose(file);
        return 2;
    }
    signal(SIGTERM, end);
    signal(SIGINT, end);
    printf("rate %u\n", jack_get_sample_rate(client));
    fflush(stdout);
    int connected = 0;
    while (!ending) {
        if (!connected)
            connected = connect_to(client, argv[1]);
        drain(file);
        usleep(connected ? 20000 : 1000);
    }
    jack_client_close(client);
    drain(file);
    int failed = fclose(file) != 0 || atomic_load(&overflows) > 0;
    printf("xruns %d, overflows %d, connected %d\n", atomic_load(&xruns), atomic_load(&overflows),
           connected);
    jack_ringbuffer_free(ring);
    return failed || !connected ? 1 : 0;
}
