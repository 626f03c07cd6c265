"""What is done to a job: opened, checked in, planned, bought for, handed over or cancelled."""
