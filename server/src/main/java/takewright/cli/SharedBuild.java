package takewright.cli;

import io.grpc.Channel;
import io.grpc.Status;
import io.grpc.Status.Code;
import io.grpc.StatusRuntimeException;
import java.util.ArrayList;
import java.util.Iterator;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.concurrent.TimeUnit;
import takewright.cli.show.ProgressDisplay;
import takewright.cli.show.Texts;
import takewright.v1.BuildPart;
import takewright.v1.BuildProgress;
import takewright.v1.BuildResult;
import takewright.v1.CancelBuildRequest;
import takewright.v1.GetServerInfoRequest;
import takewright.v1.LibraryServiceGrpc;
import takewright.v1.LibraryServiceGrpc.LibraryServiceBlockingStub;
import takewright.v1.ServerServiceGrpc;
import takewright.v1.StartBuildRequest;
import takewright.v1.WatchBuildRequest;
import takewright.v1.WatchBuildResponse;

/**
 * Shares a build among several services that see the same folders: each makes a part of it, all at
 * once. A whole build afterwards finishes the library, and makes what a service that died has left.
 */
final class SharedBuild implements AutoCloseable {
  /** A service that does not answer within this many seconds gets no part. */
  private static final int ANSWER_S = 10;

  private final Main main;
  private final Map<String, Channel> services;

  /** The parts, once they are dealt; changed by their threads. */
  private final List<ServicePart> parts = new ArrayList<>();

  /** What keeps the build from going on; null if nothing does. */
  private RuntimeException failure;

  /** Whether all parts are to stop, also those whose service has not answered yet. */
  private boolean isStopping;

  private ProgressDisplay display;

  /** Stops the parts when the command is interrupted. */
  private final Interruption interruption;

  /**
   * Begins to listen for an interruption.
   *
   * @param services by HOST:PORT
   */
  SharedBuild(Main main, Map<String, Channel> services) {
    this.main = main;
    this.services = services;
    interruption = new Interruption(() -> main.complain(LibraryBuild.INTERRUPTED), this::interrupt);
  }

  /** The part of one service. */
  private final class ServicePart {
    final String service;
    final LibraryServiceBlockingStub stub;
    final BuildPart part;

    /** Null before the service has answered, and once the part has ended. */
    String buildId;

    BuildProgress progress = BuildProgress.getDefaultInstance();

    /** Null where the part was not finished. */
    BuildResult result;

    ServicePart(String service, Channel channel, BuildPart part) {
      this.service = service;
      this.stub = LibraryServiceGrpc.newBlockingStub(channel);
      this.part = part;
    }

    /** Makes the part; returns once it has ended in any way. */
    void make(StartBuildRequest request) {
      boolean isStarted = false;
      try {
        String id =
            stub.startBuild(request.toBuilder().clearMarkersFolder().setPart(part).build())
                .getBuild()
                .getBuildId();
        isStarted = true;
        started(this, id);
        Iterator<WatchBuildResponse> answers =
            stub.watchBuild(WatchBuildRequest.newBuilder().setBuildId(id).build());
        while (answers.hasNext()) {
          WatchBuildResponse answer = answers.next();
          if (answer.hasResult()) {
            done(this, answer.getResult());
          } else {
            came(this, answer.getProgress());
          }
        }
      } catch (StatusRuntimeException e) {
        failed(this, e, isStarted);
      }
    }
  }

  /**
   * Has every service that answers make a part; does nothing if fewer than two do. Returns once all
   * parts have ended.
   *
   * @throws IllegalArgumentException if the services do not see the same output folder
   * @throws StatusRuntimeException if one of them refuses its part
   */
  void makeParts(StartBuildRequest request) {
    Map<String, Channel> there = services.size() > 1 ? there() : Map.of();
    if (there.size() < 2) {
      return;
    }
    there.forEach(
        (service, channel) ->
            parts.add(
                new ServicePart(
                    service,
                    channel,
                    BuildPart.newBuilder()
                        .setNumber(parts.size() + 1)
                        .setCount(there.size())
                        .build())));
    main.err.println("sharing the build among " + String.join(", ", there.keySet()));
    display = ProgressDisplay.on(main.err);
    List<Thread> making = new ArrayList<>();
    for (ServicePart part : parts) {
      Thread thread = new Thread(() -> part.make(request), "part-" + part.part.getNumber());
      thread.start();
      making.add(thread);
    }
    try {
      for (Thread thread : making) {
        thread.join();
      }
    } catch (InterruptedException e) {
      cancel();
      Thread.currentThread().interrupt();
      throw Status.CANCELLED.withDescription("interrupted").asRuntimeException();
    } finally {
      display.close();
    }
    interruption.endIfBegun();
    if (failure != null) {
      throw failure;
    }
    for (ServicePart part : parts) {
      if (part.result != null) {
        main.err.println(
            part.service
                + " has made part "
                + part.part.getNumber()
                + " of "
                + part.part.getCount()
                + ": "
                + Texts.count(part.result.getSamples(), "sample", "samples"));
      }
    }
  }

  /** The services that answer. */
  private Map<String, Channel> there() {
    Map<String, Channel> there = new LinkedHashMap<>();
    List<String> silent = new ArrayList<>();
    services.forEach(
        (service, channel) -> {
          try {
            ServerServiceGrpc.newBlockingStub(channel)
                .withDeadlineAfter(ANSWER_S, TimeUnit.SECONDS)
                .getServerInfo(GetServerInfoRequest.getDefaultInstance());
            there.put(service, channel);
          } catch (StatusRuntimeException e) {
            Code code = e.getStatus().getCode();
            if (code != Code.UNAVAILABLE && code != Code.DEADLINE_EXCEEDED) {
              throw e;
            }
            silent.add(service);
          }
        });
    if (!there.isEmpty()) {
      silent.forEach(
          service ->
              main.err.println(
                  "warning: " + service + " does not answer and takes no part in the build"));
    }
    return there;
  }

  private synchronized void started(ServicePart part, String id) {
    part.buildId = id;
    if (isStopping) {
      cancel(part);
    }
  }

  private synchronized void came(ServicePart part, BuildProgress progress) {
    part.progress = progress;
    for (ServicePart other : parts) {
      if (failure == null && isApart(part.progress, other.progress)) {
        fail(
            new IllegalArgumentException(
                "--server: "
                    + other.service
                    + " and "
                    + part.service
                    + " do not see the same folder under the name that --out gives; let them share"
                    + " it, or name one of them"));
      }
    }
    if (failure == null) {
      display.show(together(progress));
    }
  }

  private static boolean isApart(BuildProgress one, BuildProgress other) {
    return !one.getFolderId().isEmpty()
        && !other.getFolderId().isEmpty()
        && !one.getFolderId().equals(other.getFolderId());
  }

  /** How far all parts are; the step and the take are those of the one that was heard of last. */
  private BuildProgress together(BuildProgress last) {
    double done = 0;
    int samplesDone = 0;
    int samplesTotal = 0;
    for (ServicePart part : parts) {
      done += part.result != null ? 1 : part.progress.getDone();
      samplesDone += part.progress.getSamplesDone();
      samplesTotal += part.progress.getSamplesTotal();
    }
    return last.toBuilder()
        .setDone(done / parts.size())
        .setSamplesDone(samplesDone)
        .setSamplesTotal(samplesTotal)
        .build();
  }

  private synchronized void done(ServicePart part, BuildResult result) {
    part.buildId = null;
    part.result = result;
  }

  private synchronized void failed(ServicePart part, StatusRuntimeException e, boolean isStarted) {
    part.buildId = null;
    if (failure != null) {
      return;
    }
    if (LibraryBuild.isForAnother(e) || e.getStatus().getCode() == Code.RESOURCE_EXHAUSTED) {
      main.err.println(
          "warning: "
              + part.service
              + " has not finished its part, which is made when the library is ended");
    } else if (isStarted) {
      // What is wrong with a take may be all that there is to say: the whole build says it.
      cancel();
    } else {
      fail(e);
    }
  }

  /** Ends the build. */
  private void fail(RuntimeException reason) {
    failure = reason;
    cancel();
  }

  /** Says that the build can be continued, if it has been shared, and stops the parts. */
  private void interrupt() {
    boolean isShared;
    synchronized (this) {
      isShared = parts.stream().anyMatch(part -> part.buildId != null);
    }
    if (isShared) {
      interruption.tell();
    }
    cancel();
  }

  private synchronized void cancel() {
    isStopping = true;
    parts.forEach(this::cancel);
  }

  private void cancel(ServicePart part) {
    if (part.buildId != null) {
      try {
        part.stub.cancelBuild(CancelBuildRequest.newBuilder().setBuildId(part.buildId).build());
      } catch (StatusRuntimeException e) {
        // It has ended, or its service has.
      }
    }
  }

  @Override
  public void close() {
    interruption.close();
  }
}
