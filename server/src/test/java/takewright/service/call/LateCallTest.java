package takewright.service.call;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import io.grpc.ManagedChannel;
import io.grpc.Server;
import io.grpc.Status;
import io.grpc.inprocess.InProcessChannelBuilder;
import io.grpc.inprocess.InProcessServerBuilder;
import io.grpc.stub.StreamObserver;
import org.junit.jupiter.api.Test;
import takewright.service.CallEnd;
import takewright.service.access.GrantedFolders;
import takewright.service.work.Workers;
import takewright.v1.AnalyseRequest;
import takewright.v1.AnalyseResponse;
import takewright.v1.OperationsServiceGrpc;

/** A stream that is opened and never used, as by a client that crashed half-way. */
class LateCallTest {
  private static final long STALL_MS = 50;

  @Test
  void aStreamWhoseFirstMessageNeverComesIsEnded() throws Exception {
    Workers workers = new Workers(1);
    Site site = new Site(GrantedFolders.everything(), workers);
    Server server =
        InProcessServerBuilder.forName("late")
            .directExecutor()
            .addService(
                new OperationsServiceGrpc.OperationsServiceImplBase() {
                  @Override
                  public StreamObserver<AnalyseRequest> analyse(
                      StreamObserver<AnalyseResponse> answers) {
                    return StreamedCall.open(new AnalyseAdapter(), site, answers, STALL_MS);
                  }
                })
            .build()
            .start();
    ManagedChannel channel = InProcessChannelBuilder.forName("late").build();
    try {
      CallEnd<AnalyseRequest, AnalyseResponse> end = CallEnd.reading();
      OperationsServiceGrpc.newStub(channel).analyse(end);
      Status status = end.soon();
      assertEquals(Status.Code.DEADLINE_EXCEEDED, status.getCode());
      assertTrue(status.getDescription().startsWith("`config` did not come"), status.toString());
    } finally {
      channel.shutdownNow();
      server.shutdownNow();
      workers.close();
    }
  }
}
