package takewright.service.call;

import com.google.protobuf.ByteString;
import java.io.IOException;
import takewright.service.work.Priority;
import takewright.v1.AudioInput;

/**
 * One operation over a stream of requests: how its messages are read and what it does. Holds no
 * state of a call.
 *
 * @param <Q> request
 * @param <C> settings
 * @param <A> answer
 */
public interface StreamedOperation<Q, C, A> {
  /** The settings in a message, or null if it holds none. */
  C config(Q request);

  /** The piece of audio in a message, or null if it holds none. */
  ByteString audio(Q request);

  /** The source of the audio. */
  AudioInput input(C config);

  /** The field that gives the format of streamed audio, for errors. */
  default String formatField() {
    return "config.input.pcm.";
  }

  /**
   * Whether its audio comes from a recorder: it may pause for as long as the connection stands, and
   * end within a frame.
   */
  default boolean isRecorded() {
    return false;
  }

  /** The priority of its work. */
  default Priority priority() {
    return Priority.SHORT;
  }

  /** Does the work, on a worker. */
  void run(C config, CallAudio audio, Site site, Answers<A> answers) throws IOException;
}
