#include "base/tasks.h"

#include <pthread.h>
#include <stdatomic.h>

struct queue {
    void (*task)(void *context, size_t i);
    void *context;
    size_t n;
    atomic_size_t next;
};

static void *take_tasks(void *argument)
{
    struct queue *queue = argument;
    for (size_t i; (i = atomic_fetch_add(&queue->next, 1)) < queue->n;)
        queue->task(queue->context, i);
    return NULL;
}

void tasks_run(size_t n, bool helped, void (*task)(void *context, size_t i), void *context)
{
    struct queue queue = { .task = task, .context = context, .n = n };
    pthread_t helper;
    bool started = helped && n > 1 && pthread_create(&helper, NULL, take_tasks, &queue) == 0;
    take_tasks(&queue);
    if (started)
        pthread_join(helper, NULL);
}
