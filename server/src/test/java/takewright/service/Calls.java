package takewright.service;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.google.protobuf.ByteString;
import com.google.protobuf.Message;
import io.grpc.Status;
import io.grpc.StatusRuntimeException;
import io.grpc.stub.StreamObserver;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.ExecutionException;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.TimeoutException;
import java.util.function.Function;
import org.junit.jupiter.api.function.Executable;
import takewright.audio.Clip;
import takewright.service.wire.ErrorDetails;
import takewright.service.wire.Failures;
import takewright.v1.AnalyseConfig;
import takewright.v1.AnalyseRequest;
import takewright.v1.AudioFormat;
import takewright.v1.AudioInput;
import takewright.v1.PcmEncoding;
import takewright.v1.PcmFormat;

/** Calls as a client makes them, and audio to call with. */
public final class Calls {
  private Calls() {}

  /**
   * Sends requests, ends the stream and waits for all answers; those behind the input's format,
   * which must come first.
   */
  @SafeVarargs
  @SuppressWarnings("varargs") // they are only read
  static <Q, A extends Message> List<A> stream(
      Function<StreamObserver<A>, StreamObserver<Q>> method, Q... requests) {
    List<A> answers = all(method, requests);
    assertTrue(format(answers.get(0)).getSampleRateHz() > 0, "the format comes first");
    return answers.subList(1, answers.size());
  }

  /** The format of the input in a first answer. */
  static AudioFormat format(Message first) {
    return (AudioFormat) first.getField(first.getDescriptorForType().findFieldByName("input"));
  }

  /** The same with all answers. */
  @SafeVarargs
  static <Q, A> List<A> all(Function<StreamObserver<A>, StreamObserver<Q>> method, Q... requests) {
    CompletableFuture<List<A>> all = new CompletableFuture<>();
    List<A> answers = new ArrayList<>();
    StreamObserver<Q> call =
        method.apply(
            new StreamObserver<>() {
              @Override
              public void onNext(A answer) {
                answers.add(answer);
              }

              @Override
              public void onError(Throwable failure) {
                all.completeExceptionally(failure);
              }

              @Override
              public void onCompleted() {
                all.complete(answers);
              }
            });
    for (Q request : requests) {
      call.onNext(request);
    }
    call.onCompleted();
    try {
      return all.get(60, TimeUnit.SECONDS);
    } catch (ExecutionException e) {
      throw Status.fromThrowable(e.getCause())
          .asRuntimeException(Status.trailersFromThrowable(e.getCause()));
    } catch (InterruptedException | TimeoutException e) {
      throw new AssertionError(e);
    }
  }

  /** The call fails with this status and one line that holds these words. */
  public static void refused(Status.Code code, Executable call, String... words) {
    RuntimeException thrown = assertThrows(RuntimeException.class, call);
    StatusRuntimeException refused = told(thrown);
    String line = String.valueOf(refused.getStatus().getDescription());
    assertEquals(code, refused.getStatus().getCode(), line);
    assertFalse(line.contains("\n"), line);
    assertFalse(line.contains("Exception"), line);
    for (String word : words) {
      assertTrue(line.contains(word), line + " should speak of " + word);
    }
  }

  /** A failure as a client is told it, also one that did not come by a call. */
  public static StatusRuntimeException told(RuntimeException failure) {
    return failure instanceof StatusRuntimeException answer
        ? answer
        : ErrorDetails.of(Failures.of(failure));
  }

  static AudioInput file(Path file) {
    return AudioInput.newBuilder().setFile(file.toString()).build();
  }

  static AudioInput pcm(PcmEncoding encoding, int sampleRate, int channels) {
    return AudioInput.newBuilder()
        .setPcm(
            PcmFormat.newBuilder()
                .setEncoding(encoding)
                .setSampleRateHz(sampleRate)
                .setChannels(channels))
        .build();
  }

  static AnalyseRequest analyse(AudioInput input) {
    return AnalyseRequest.newBuilder()
        .setConfig(AnalyseConfig.newBuilder().setInput(input))
        .build();
  }

  static AnalyseRequest audio(byte[] bytes) {
    return AnalyseRequest.newBuilder().setAudio(ByteString.copyFrom(bytes)).build();
  }

  /** Interleaved 32-bit floats. */
  static byte[] floats(float... samples) {
    ByteBuffer bytes = ByteBuffer.allocate(4 * samples.length).order(ByteOrder.LITTLE_ENDIAN);
    for (float sample : samples) {
      bytes.putFloat(sample);
    }
    return bytes.array();
  }

  /**
   * An invented note: five partials that die away, 1 s after half a second of faint hiss, at most
   * -12 dBFS.
   */
  public static Clip note(int sampleRate, double frequencyHz) {
    java.util.Random random = new java.util.Random(7);
    float[] samples = new float[sampleRate * 2];
    for (int i = 0; i < samples.length; i++) {
      double value = 1e-4 * random.nextGaussian();
      double t = (double) i / sampleRate - 0.5;
      if (t > 0) {
        for (int partial = 1; partial <= 5; partial++) {
          value +=
              0.1
                  / partial
                  * Math.sin(2 * Math.PI * partial * frequencyHz * t)
                  * Math.exp(-2 * t)
                  * Math.min(1, t * 200);
        }
      }
      samples[i] = (float) value;
    }
    return Clip.of(sampleRate, samples);
  }
}
