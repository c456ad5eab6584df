package takewright.service;

import io.grpc.stub.StreamObserver;
import java.util.List;
import java.util.function.IntSupplier;
import takewright.audio.AudioFile;
import takewright.service.access.GrantedFolders;
import takewright.service.access.Limits;
import takewright.service.build.BuildRun;
import takewright.service.call.UnaryCall;
import takewright.v1.GetServerInfoRequest;
import takewright.v1.GetServerInfoResponse;
import takewright.v1.ServerLimits;
import takewright.v1.ServerServiceGrpc;

/** Facts about the service itself. */
final class ServerService extends ServerServiceGrpc.ServerServiceImplBase {
  private final GrantedFolders folders;
  private final IntSupplier httpPort;

  ServerService(GrantedFolders folders, IntSupplier httpPort) {
    this.folders = folders;
    this.httpPort = httpPort;
  }

  @Override
  public void getServerInfo(
      GetServerInfoRequest request, StreamObserver<GetServerInfoResponse> answers) {
    UnaryCall.atOnce(answers, this::info);
  }

  private GetServerInfoResponse info() {
    GetServerInfoResponse.Builder info =
        GetServerInfoResponse.newBuilder()
            .setVersion(TakewrightServer.VERSION)
            .setLimits(
                ServerLimits.newBuilder()
                    .setMessageBytes(Limits.MESSAGE_BYTES)
                    .setAudioBytes(Limits.AUDIO_BYTES)
                    .setMinSampleRateHz(AudioFile.LOWEST_RATE)
                    .setMaxSampleRateHz(AudioFile.HIGHEST_RATE)
                    .setMaxChannels(AudioFile.MAX_CHANNELS)
                    .setMaxHeldS(Limits.HELD_SECONDS)
                    .setStallS(Limits.STALL_S)
                    .setCrowdedStallS(Limits.CROWDED_STALL_S)
                    .setMaxSessions(Limits.SESSIONS)
                    .setMaxWatchers(BuildRun.MAX_WATCHERS))
            .addAllInputFormats(List.of("wav", "wave", "aif", "aiff", "aifc", "flac"))
            .addAllOutputFormats(List.of("wav"))
            .setHttpPort(httpPort.getAsInt())
            .setCores(Runtime.getRuntime().availableProcessors());
    folders.roots().forEach(root -> info.addGrantedFolders(root.toString()));
    return info.build();
  }
}
